//! Which folders of a crate may name which others: a wall is where none may, and nowhere may they
//! name each other in a circle. And no two types share a name in the contract.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // tests may fail loudly

mod circles;
mod imports;
mod schemas;

use std::path::PathBuf;

use imports::read;

/// What the files of a crate's folder may not name, and why not.
const WALLS: [(&str, &str, &[&str], &str); 8] = [
    (
        "scheduler",
        "replay",
        &[
            "answer", "decode", "dispatch", "mapping", "milp", "network", "recipe", "search",
        ],
        "the replay shares nothing with the planner it checks",
    ),
    (
        "scheduler",
        "search",
        &["answer", "check", "decode", "dispatch", "plan", "replay"],
        "a search knows a network and its program, and nothing of a bar",
    ),
    (
        "api",
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
        "api",
        "app",
        &["actix_web", "board", "cli", "contract", "http", "routes"],
        "use cases know neither the protocol nor the pages",
    ),
    (
        "api",
        "board",
        &["routes"],
        "pages and handlers share use cases, not each other",
    ),
    (
        "api",
        "routes",
        &["board"],
        "pages and handlers share use cases, not each other",
    ),
    (
        "api",
        "http",
        &["routes"],
        "the protocol is below its handlers",
    ),
    (
        "api",
        "storage",
        &["app", "board", "http", "routes"],
        "the database is below what uses it",
    ),
];

/// The folder of a crate.
fn folder(name: &str) -> PathBuf {
    tests::here().join("..").join(name)
}

#[test]
fn no_file_names_what_is_behind_a_wall() {
    for (name, part, not, why) in WALLS {
        let files = read(&folder(name).join("src").join(part), 1);
        assert!(files.len() > 1, "{name}/src/{part} has no files");
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
