//! Which folders of this crate may name which others: a wall is where none may, and nowhere may they
//! name each other in a circle.

mod circles;
mod imports;

use std::path::{Path, PathBuf};

use imports::read;

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

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

#[test]
fn no_file_names_what_is_behind_a_wall() {
    for (folder, not, why) in WALLS {
        let files = read(&source().join(folder), 1);
        assert!(files.len() > 1, "{folder} has no files");
        let mut wrong = Vec::new();
        for file in &files {
            let bad = file
                .names
                .iter()
                .filter(|name| not.contains(&name.as_str()));
            wrong.extend(bad.map(|name| format!("{} names {name}", file.path.display())));
        }
        assert!(wrong.is_empty(), "{why}:\n{}", wrong.join("\n"));
    }
}
