//! The house rules: dependencies point one way, and some rooms never do some things.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

fn root() -> PathBuf {
    tests::here().join("..")
}

/// What each crate of the workspace depends on, other than for its own tests.
fn dependencies() -> BTreeMap<String, Vec<String>> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let said = Command::new(cargo)
        .args([
            "metadata",
            "--no-deps",
            "--format-version",
            "1",
            "--offline",
        ])
        .current_dir(root())
        .output()
        .unwrap();
    let metadata: Value = serde_json::from_slice(&said.stdout).unwrap();
    let mut found = BTreeMap::new();
    for package in metadata["packages"].as_array().unwrap() {
        let needed = package["dependencies"].as_array().unwrap().iter();
        let needed = needed
            .filter(|d| d["kind"] != "dev")
            .map(|d| d["name"].as_str().unwrap().to_owned());
        found.insert(
            package["name"].as_str().unwrap().to_owned(),
            needed.collect(),
        );
    }
    found
}

#[test]
fn dependencies_point_one_way() {
    let found = dependencies();
    let crates = ["model", "scheduler", "api", "tests"];
    for (n, name) in crates.iter().enumerate() {
        for later in &crates[n + 1..] {
            assert!(
                !found[*name].iter().any(|d| d == later),
                "{name} depends on {later}"
            );
        }
    }
    assert!(found["scheduler"].contains(&"model".to_owned()));
    assert!(found["api"].contains(&"scheduler".to_owned()));
}

#[test]
fn inner_rooms_know_no_clock_no_network_and_no_database() {
    let found = dependencies();
    let outside = [
        "actix",
        "axum",
        "diesel",
        "hyper",
        "libsqlite3",
        "reqwest",
        "rusqlite",
        "sqlx",
        "tokio",
        "utoipa-actix",
        "utoipa-swagger",
    ];
    for name in ["model", "scheduler"] {
        for dependency in &found[name] {
            let barred = outside.iter().any(|o| dependency.starts_with(o));
            assert!(!barred, "{name} depends on {dependency}");
        }
    }
    for clock in ["chrono", "chrono-tz", "jiff", "time"] {
        assert!(
            !found["model"].iter().any(|d| d == clock),
            "model depends on {clock}"
        );
    }
}

/// Every Rust source below a folder.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found
}

fn never(folder: &str, barred: &[&str], except: &str) {
    for file in sources(&root().join(folder)) {
        let text = std::fs::read_to_string(&file).unwrap();
        let path = file.display().to_string();
        if !except.is_empty() && path.contains(except) {
            continue;
        }
        for word in barred {
            assert!(!text.contains(word), "{path} says {word}");
        }
    }
}

#[test]
fn rooms_never_do_what_they_never_do() {
    never(
        "model/src",
        &[
            "std::fs",
            "std::net",
            "SystemTime",
            "Instant::now",
            "std::env",
        ],
        "",
    );
    never(
        "scheduler/src",
        &["Utc::now", "Local::now", "SystemTime::now", "std::net"],
        "",
    );
    never(
        "api/src",
        &["diesel::", "diesel_migrations"],
        "api/src/storage/",
    );
    never(
        "api/src/domain",
        &["actix_web", "StatusCode", "HttpResponse"],
        "",
    );
}

#[test]
fn nothing_in_the_program_starts_another() {
    for folder in ["model/src", "scheduler/src", "api/src"] {
        for file in sources(&root().join(folder)) {
            let text = std::fs::read_to_string(&file).unwrap();
            // Tests beside the code may.
            let program = text.split("#[cfg(test)]").next().unwrap_or_default();
            for word in ["process::Command", "Command::new("] {
                assert!(!program.contains(word), "{} says {word}", file.display());
            }
        }
    }
}

/// The modules a test program has.
fn modules(program: &str) -> Vec<String> {
    let file = root().join("tests/tests").join(program).join("main.rs");
    let text = std::fs::read_to_string(file).unwrap();
    let named = text.lines().filter_map(|line| line.strip_prefix("mod "));
    named
        .map(|name| name.trim_end_matches(';').to_owned())
        .collect()
}

#[test]
fn what_is_tested_on_one_database_is_tested_on_the_other() {
    // These keep nothing, or look at the files of a project.
    let apart = [
        "calculations",
        "command_input",
        "command_line",
        "contract",
        "faults",
        "headers",
        "hard_days",
        "house",
        "life",
        "operation",
        "outgoing",
        "proxies",
        "questions",
        "secrets",
        "restores",
        "service",
        "traces",
    ];
    let on_postgres = modules("postgres");
    for module in modules("blackbox") {
        let there = on_postgres.contains(&module);
        assert!(there != apart.contains(&module.as_str()), "{module}");
    }
}
