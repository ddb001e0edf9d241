//! A private Python with pinned libraries, made once and used again.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::foreign::{home, made, well};

/// The interpreter of an environment that has just the libraries pinned in `folder`'s
/// `requirements.txt`. `why` says what they are for.
///
/// # Panics
/// If there is no Python, or the libraries cannot be fetched.
#[must_use]
pub fn with(folder: &Path, name: &str, why: &str) -> PathBuf {
    let pins = folder.join("requirements.txt");
    let text = fs::read_to_string(&pins).expect("pins");
    let version = well(
        Command::new("python3").arg("--version"),
        &format!("python3 is needed (3.11 or later) {why}; `make setup` installs it"),
    );
    let home = home(name, &[&text, &version]);
    let python = home.join("bin/python");
    made(&home, || make(&home, &python, &pins));
    python
}

fn make(home: &Path, python: &Path, pins: &Path) {
    well(
        Command::new("python3").args(["-m", "venv"]).arg(home),
        "python3 lacks its module venv; `make setup` installs it (package python3-venv)",
    );
    let pip = ["-m", "pip", "install", "--quiet"];
    well(
        Command::new(python)
            .args(pip)
            .arg("--disable-pip-version-check")
            .args(["--require-hashes", "--only-binary", ":all:", "--no-deps"])
            .arg("-r")
            .arg(pins),
        &format!(
            "pip could not install the libraries pinned in {}; it needs Python 3.11 or later and \
             the Python package index, the first time only",
            pins.display()
        ),
    );
}
