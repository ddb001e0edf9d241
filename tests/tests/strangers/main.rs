//! Other people's programs look at the contract and use it: two validators, a tester that makes up
//! requests, and clients generated in two languages that do the main job.
//!
//! What they need is pinned in `tests/strangers`, fetched once, and no part of the program.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "tests may fail loudly"
)]

mod clients;
mod made_up;
mod validators;

use std::path::PathBuf;
use std::process::Command;
use std::sync::OnceLock;

use tests::foreign::well;

/// Where the scripts and the pins are.
fn scripts() -> PathBuf {
    tests::here().join("strangers")
}

/// The published contract.
fn contract() -> PathBuf {
    tests::here().join("../openapi/openapi.json")
}

/// Python with the pinned programs.
fn python() -> Command {
    static PYTHON: OnceLock<PathBuf> = OnceLock::new();
    let why = "for other people's programs to look at the service";
    let python = PYTHON.get_or_init(|| tests::python::with(&scripts(), "strangers", why));
    let mut command = Command::new(python);
    command.args(["-B", "-W", "ignore"]);
    command
}

/// A folder with the pinned packages for Node.js.
fn packages() -> PathBuf {
    static HOME: OnceLock<PathBuf> = OnceLock::new();
    let why = "for a generated TypeScript client";
    HOME.get_or_init(|| tests::node::with(&scripts(), "strangers-node", why))
        .clone()
}

/// Runs a command that must end well.
fn run(command: &mut Command) -> String {
    well(command, "one of the strangers complains")
}
