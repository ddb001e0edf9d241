//! What the files of a crate name of each other, read from their tokens: comments and texts count
//! for nothing, and what stands inside macros counts too.

use std::fs;
use std::path::{Path, PathBuf};

use proc_macro2::{TokenStream, TokenTree};

/// A file of a crate and the names it uses.
pub(super) struct SourceFile {
    pub(super) path: PathBuf,
    /// Top-level modules of its crate and other crates, in order, each once.
    pub(super) names: Vec<String>,
}

/// Reads a folder, which lies so many folders below the crate's root, and those in it.
pub(super) fn read(folder: &Path, depth: usize) -> Vec<SourceFile> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(read(&path, depth + 1));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let own = usize::from(!path.ends_with("mod.rs"));
            let tokens = fs::read_to_string(&path).unwrap().parse().unwrap();
            let mut names = Vec::new();
            named(tokens, depth + own, &mut names);
            names.sort_unstable();
            names.dedup();
            files.push(SourceFile { path, names });
        }
    }
    files
}

/// The names a file uses: folders of its crate after `crate::`, or after as many `super::` as lead
/// there, and other crates.
fn named(tokens: TokenStream, depth: usize, found: &mut Vec<String>) {
    let trees: Vec<TokenTree> = tokens.into_iter().collect();
    for (n, tree) in trees.iter().enumerate() {
        match tree {
            TokenTree::Group(group) => {
                let depth = depth + usize::from(is_module(&trees[..n]));
                named(group.stream(), depth, found);
            }
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

/// Whether what stands before a group makes it a module of its own.
fn is_module(before: &[TokenTree]) -> bool {
    matches!(before, [.., TokenTree::Ident(word), TokenTree::Ident(_)] if word == "mod")
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
    check(
        "mod tests { use super::super::http::x; use super::y; }",
        1,
        &["http"],
    );
    check("let x = \"crate::board\";", 2, &[]);
}
