//! Which folders of this crate may name which others: a wall is where none may.
//!
//! What a file names is read from its tokens, so that comments and texts count for nothing, and what
//! stands inside macros counts too.

use std::fs;
use std::path::Path;

use proc_macro2::{TokenStream, TokenTree};

/// What the files of a folder may not name, and why not.
const WALLS: [(&str, &[&str], &str); 6] = [
    (
        "domain",
        &[
            "actix_web",
            "app",
            "board",
            "cli",
            "contract",
            "http",
            "jobs",
            "problem",
            "routes",
            "service",
            "settings",
            "storage",
        ],
        "decisions know neither the protocol nor the database",
    ),
    (
        "app",
        &["actix_web", "board", "cli", "contract", "http", "routes"],
        "use cases know neither the protocol nor the pages",
    ),
    (
        "board",
        &["routes"],
        "pages and handlers share use cases, not each other",
    ),
    (
        "routes",
        &["board"],
        "pages and handlers share use cases, not each other",
    ),
    ("http", &["routes"], "the protocol is below its handlers"),
    (
        "storage",
        &["app", "board", "http", "routes"],
        "the database is below what uses it",
    ),
];

/// The names a file uses: folders of this crate after `crate::`, or after as many `super::` as lead
/// there, and other crates.
fn named(tokens: TokenStream, depth: usize, found: &mut Vec<String>) {
    let trees: Vec<TokenTree> = tokens.into_iter().collect();
    for (n, tree) in trees.iter().enumerate() {
        match tree {
            TokenTree::Group(group) => named(group.stream(), depth, found),
            TokenTree::Ident(ident) if ident == "crate" => after(&trees[n + 1..], found),
            TokenTree::Ident(ident) if ident == "super" && !follows(&trees[..n], "super") => {
                let supers = chain(&trees[n..]);
                if supers >= depth {
                    after(&trees[n + 1 + 3 * (supers - 1)..], found);
                }
            }
            TokenTree::Ident(ident) if ident == "actix_web" => found.push(ident.to_string()),
            _ => {}
        }
    }
}

/// Whether a name with `::` stands before the end of some tokens.
fn follows(before: &[TokenTree], name: &str) -> bool {
    match before {
        [
            ..,
            TokenTree::Ident(ident),
            TokenTree::Punct(a),
            TokenTree::Punct(b),
        ] => ident == name && a.as_char() == ':' && b.as_char() == ':',
        _ => false,
    }
}

/// How many `super` stand in a row, with `::` between them.
fn chain(trees: &[TokenTree]) -> usize {
    let each = trees.chunks(3).take_while(
        |part| matches!(part.first(), Some(TokenTree::Ident(ident)) if ident == "super"),
    );
    each.count()
}

/// The names right after a `::`: one, or the first of each path in braces.
fn after(trees: &[TokenTree], found: &mut Vec<String>) {
    let [TokenTree::Punct(a), TokenTree::Punct(b), next, ..] = trees else {
        return;
    };
    if a.as_char() != ':' || b.as_char() != ':' {
        return;
    }
    match next {
        TokenTree::Ident(ident) => found.push(ident.to_string()),
        TokenTree::Group(group) => {
            let mut begins = true;
            for tree in group.stream() {
                match &tree {
                    TokenTree::Ident(ident) if begins => found.push(ident.to_string()),
                    _ => {}
                }
                begins = matches!(&tree, TokenTree::Punct(punct) if punct.as_char() == ',');
            }
        }
        _ => {}
    }
}

/// What the files in a folder name that they may not; how many files were read is counted.
fn breaches(folder: &Path, depth: usize, not: &[&str], files: &mut usize) -> Vec<String> {
    let mut wrong = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            wrong.extend(breaches(&path, depth + 1, not, files));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            *files += 1;
            let own = usize::from(!path.ends_with("mod.rs"));
            let tokens: TokenStream = fs::read_to_string(&path).unwrap().parse().unwrap();
            let mut found = Vec::new();
            named(tokens, depth + own, &mut found);
            found.sort_unstable();
            found.dedup();
            let bad = found.iter().filter(|name| not.contains(&name.as_str()));
            wrong.extend(bad.map(|name| format!("{} names {name}", path.display())));
        }
    }
    wrong
}

#[test]
fn no_file_names_what_is_behind_a_wall() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    for (folder, not, why) in WALLS {
        let mut files = 0;
        let wrong = breaches(&source.join(folder), 1, not, &mut files);
        assert!(files > 1, "{folder} has no files");
        assert!(wrong.is_empty(), "{why}:\n{}", wrong.join("\n"));
    }
}

#[test]
fn names_are_found_however_they_are_written() {
    let check = |text: &str, depth, expected: &[&str]| {
        let mut found = Vec::new();
        named(text.parse().unwrap(), depth, &mut found);
        assert_eq!(found, expected, "{text}");
    };
    check("use crate::routes::SitePath;", 2, &["routes"]);
    check(
        "use crate::{app, routes::{self, SitePath}, text};",
        2,
        &["app", "routes", "text"],
    );
    check(
        "fn f() { g(crate::http::slow()); h!(crate::board::x) }",
        2,
        &["http", "board"],
    );
    check(
        "use super::super::routes::x; use super::queue;",
        2,
        &["routes"],
    );
    check("use super::queue::x;", 1, &["queue"]);
    check("use actix_web::web; // crate::board", 2, &["actix_web"]);
    check("let x = \"crate::board\";", 2, &[]);
}
