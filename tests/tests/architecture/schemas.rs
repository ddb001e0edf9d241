//! Types that stand in the contract. Of two with one name the generator keeps one and says nothing,
//! and every operation that means the other is wrong.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use proc_macro2::{TokenStream, TokenTree};
use serde_json::Value;

use super::folder;

/// Macros that declare such types: by their names at the outermost level, after their documentation.
const MAKERS: [&str; 9] = [
    "count", "estimate", "id", "ids", "input", "inputs", "quantity", "values", "words",
];

#[test]
fn no_two_types_have_one_name_in_the_contract() {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for crate_name in ["model", "scheduler", "api"] {
        let root = folder(crate_name);
        in_folder(&root.join("src"), &mut |file, name| {
            let file = file.strip_prefix(&root).unwrap_or(file);
            let place = format!("{crate_name}/{}", file.display());
            found.entry(name).or_default().push(place);
        });
    }
    let alike: Vec<_> = found
        .iter()
        .filter(|(_, places)| places.len() > 1)
        .collect();
    assert!(alike.is_empty(), "{alike:#?}");
    // None is missed: whatever the contract shows was declared somewhere.
    let contract = fs::read_to_string(folder("openapi").join("openapi.json")).unwrap();
    let contract: Value = serde_json::from_str(&contract).unwrap();
    let schemas = contract["components"]["schemas"].as_object().unwrap();
    assert!(schemas.len() > 500, "{}", schemas.len());
    for name in schemas.keys() {
        let declared = found.contains_key(name) || is_made_of_others(name, schemas);
        assert!(declared, "where is {name} declared?");
    }
}

/// Whether the contract's writer made it: a calculation's answer, a kind of something, or what all
/// kinds of something share.
fn is_made_of_others(name: &str, schemas: &serde_json::Map<String, Value>) -> bool {
    let choices = schemas
        .iter()
        .filter(|(_, schema)| schema["oneOf"].is_array());
    let mut choices = choices.map(|(choice, _)| choice);
    name.ends_with("Calculation") || choices.any(|choice| name.starts_with(choice.as_str()))
}

/// Shows each type that is declared in the files of a folder and those below it.
fn in_folder(folder: &Path, found: &mut dyn FnMut(&Path, String)) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            in_folder(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let tokens = fs::read_to_string(&path).unwrap().parse().unwrap();
            let mut names = Vec::new();
            declared(tokens, &mut names);
            names.into_iter().for_each(|name| found(&path, name));
        }
    }
}

/// The types with a schema that some tokens declare.
fn declared(tokens: TokenStream, names: &mut Vec<String>) {
    let trees: Vec<TokenTree> = tokens.into_iter().collect();
    for (n, tree) in trees.iter().enumerate() {
        let (before, after) = (&trees[..n], &trees[n + 1..]);
        match tree {
            TokenTree::Group(group) => match before {
                [.., TokenTree::Ident(name), TokenTree::Punct(mark)]
                    if mark.as_char() == '!' && MAKERS.contains(&name.to_string().as_str()) =>
                {
                    made(group.stream(), names);
                }
                [.., TokenTree::Punct(mark)] if mark.as_char() == '#' => {
                    let derives = group.stream().to_string();
                    if derives.starts_with("derive") && derives.contains("ToSchema") {
                        names.extend(item(after));
                    }
                }
                _ => declared(group.stream(), names),
            },
            TokenTree::Ident(name) if name == "ToSchema" => {
                if let [TokenTree::Ident(word), TokenTree::Ident(name), ..] = after
                    && word == "for"
                {
                    names.push(name.to_string());
                }
            }
            _ => {}
        }
    }
}

/// The name of the item that some tokens begin with, or the one it has in the contract.
fn item(trees: &[TokenTree]) -> Option<String> {
    let mut trees = trees.iter();
    while let Some(tree) = trees.next() {
        match tree {
            TokenTree::Group(attribute) => {
                let text = attribute.stream().to_string();
                let renamed = text.strip_prefix("schema").and_then(|said| {
                    let (_, name) = said.split_once("as =")?;
                    name.split([',', ')']).next()
                });
                if let Some(name) = renamed {
                    return Some(name.trim().to_owned());
                }
            }
            TokenTree::Ident(word) if word == "struct" || word == "enum" => {
                let Some(TokenTree::Ident(name)) = trees.next() else {
                    return None;
                };
                return Some(name.to_string());
            }
            _ => {}
        }
    }
    None
}

/// The types that a macro declares. One that reads inputs also declares what echoes them.
fn made(tokens: TokenStream, names: &mut Vec<String>) {
    let trees: Vec<TokenTree> = tokens.into_iter().collect();
    for (n, tree) in trees.iter().enumerate() {
        let TokenTree::Ident(name) = tree else {
            continue;
        };
        let name = name.to_string();
        let begins = match &trees[..n] {
            [.., TokenTree::Group(doc)] => doc.stream().to_string().starts_with("doc"),
            [.., TokenTree::Ident(word)] => word == "struct",
            [.., TokenTree::Punct(arrow)] => arrow.as_char() == '>' && name.ends_with("Echo"),
            [] => true,
            _ => false,
        };
        if begins && name.starts_with(|c: char| c.is_ascii_uppercase()) {
            names.push(name);
        }
    }
}

#[test]
fn types_are_found_however_they_are_declared() {
    let check = |text: &str, expected: &[&str]| {
        let mut found = Vec::new();
        declared(text.parse().unwrap(), &mut found);
        assert_eq!(found, expected, "{text}");
    };
    check(
        "#[derive(Debug, ToSchema)] pub(crate) struct One { a: u8 }",
        &["One"],
    );
    check(
        "#[derive(utoipa::ToSchema)] #[serde(x)] enum Two { A }",
        &["Two"],
    );
    check(
        "#[derive(ToSchema)] #[schema(as = Three)] struct Other;",
        &["Three"],
    );
    check("#[derive(Debug)] struct None;", &[]);
    check("impl utoipa::ToSchema for Four {}", &["Four"]);
    check("mod inner { impl ToSchema for Five {} }", &["Five"]);
    check(
        "macro_rules! m { () => { impl ToSchema for $Name {} } }",
        &[],
    );
    check(
        "input! { /// Six.\n Six(\"six\", 0.0..=1.0) => Mass }",
        &["Six"],
    );
    check(
        "inputs! { /// In.\n In => SevenEcho at site { a: B } }",
        &["In", "SevenEcho"],
    );
    check(
        "words! { /// A.\n A(\"a\", 8); /// B.\n B(\"b\", 9); }",
        &["A", "B"],
    );
    check("crate::quantity! { /// Q.\n pub struct Q(\"q\") }", &["Q"]);
}
