//! The house rules: dependencies point one way, and some rooms never do some things.

use std::collections::{BTreeMap, BTreeSet};
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

#[test]
fn the_script_keeps_nothing_in_a_browser() {
    let script = std::fs::read_to_string(root().join("api/assets/board.js")).unwrap();
    for word in [
        "localStorage",
        "sessionStorage",
        "indexedDB",
        "document.cookie",
        "innerHTML",
        "eval(",
        "new Function",
    ] {
        assert!(!script.contains(word), "the board's script says {word}");
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

/// How many requirements each chapter of ASVS 5.0.0 has at levels 1 and 2.
const ASVS: [(&str, usize); 17] = [
    ("V1", 27),
    ("V2", 11),
    ("V3", 19),
    ("V4", 10),
    ("V5", 9),
    ("V6", 35),
    ("V7", 18),
    ("V8", 7),
    ("V9", 7),
    ("V10", 29),
    ("V11", 14),
    ("V12", 9),
    ("V13", 13),
    ("V14", 9),
    ("V15", 13),
    ("V16", 16),
    ("V17", 7),
];

const VERDICTS: [&str; 5] = [
    "met",
    "does not apply",
    "left to the proxy",
    "left to whoever runs it",
    "not met",
];

/// A row of the tables in `api/reference/security`.
struct Point {
    number: String,
    verdict: String,
    shown_by: String,
}

/// Every row of the tables in a file whose first cell begins so.
fn points(file: &str, beginning: &str) -> Vec<Point> {
    let text = std::fs::read_to_string(root().join("api/reference").join(file)).unwrap();
    let rows = text.lines().filter_map(|line| line.strip_prefix("| "));
    let rows = rows.filter(|row| row.starts_with(beginning));
    rows.map(|row| {
        let cells: Vec<&str> = row.trim_end_matches(" |").split(" | ").collect();
        let [number, .., verdict, shown_by] = cells.as_slice() else {
            panic!("{file}: {row}");
        };
        Point {
            number: (*number).to_owned(),
            verdict: (*verdict).to_owned(),
            shown_by: (*shown_by).to_owned(),
        }
    })
    .collect()
}

/// The parts of a text between backticks.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

/// The file a table names: below the tests, or from the top.
fn named(file: &str) -> PathBuf {
    let test = root().join("tests/tests").join(file);
    if test.exists() {
        test
    } else {
        root().join(file)
    }
}

/// Whether a file has a test of this name.
fn has_test(file: &Path, name: &str) -> bool {
    let text = std::fs::read_to_string(file).unwrap();
    let start = format!("fn {name}(");
    let mut lines = text.lines().map(str::trim);
    let mut marked = false;
    lines.any(|line| {
        let line = line.trim_start_matches("async ");
        let found = marked && line.starts_with(&start);
        let goes_on = line.is_empty() || line.starts_with("#[") || line.starts_with("//");
        let mark = line == "#[test]" || (line.starts_with("#[") && line.ends_with("::test]"));
        marked = mark || (marked && goes_on);
        found
    })
}

#[test]
fn what_the_security_tables_name_is_there() {
    let asvs = points("security/asvs.md", "V");
    for (chapter, count) in ASVS {
        let start = format!("{chapter}.");
        let of: BTreeSet<&str> = asvs.iter().map(|point| point.number.as_str()).collect();
        let of = of.iter().filter(|number| number.starts_with(&start));
        assert_eq!(of.count(), count, "rows of {chapter}");
    }
    let top = points("security.md", "API");
    let mut not_met = Vec::new();
    for point in asvs.iter().chain(&top) {
        let number = &point.number;
        assert!(
            VERDICTS.contains(&point.verdict.as_str()),
            "{number}: {}",
            point.verdict
        );
        if point.verdict == "not met" {
            not_met.push(number.as_str());
        }
        assert!(!point.shown_by.trim().is_empty(), "{number} says nothing");
        for word in quoted(&point.shown_by) {
            let (file, test) = word.split_once("::").unwrap_or((word, ""));
            // What else stands between backticks is no file of ours.
            let ours = file.contains('/') || file.starts_with("Cargo.");
            if !ours || file.starts_with('/') || file.contains(' ') {
                continue;
            }
            let path = named(file);
            assert!(path.exists(), "{number}: there is no {file}");
            let known = test.is_empty() || has_test(&path, test);
            assert!(known, "{number}: {file} has no test {test}");
        }
    }
    // The second factor.
    assert_eq!(not_met, ["V6.3.3"]);
}
