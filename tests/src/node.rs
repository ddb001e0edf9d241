//! A private folder with pinned packages for Node.js, made once and used again.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::foreign::{home, made, well};

/// A copy of `folder` beside the packages its `package-lock.json` pins.
///
/// # Panics
/// If there is no Node.js, or the packages cannot be fetched.
#[must_use]
pub fn with(folder: &Path, name: &str, why: &str) -> PathBuf {
    let lock = fs::read_to_string(folder.join("package-lock.json")).expect("pins");
    let version = well(
        Command::new("node").arg("--version"),
        &format!("node is needed (18 or later) {why}; `make setup` installs it"),
    );
    let home = home(name, &[&lock, &version]);
    made(&home, || {
        fs::create_dir_all(&home).expect("a folder");
        for file in ["package.json", "package-lock.json"] {
            fs::copy(folder.join(file), home.join(file)).expect("a copy");
        }
        well(
            Command::new("npm")
                .args([
                    "ci",
                    "--ignore-scripts",
                    "--no-audit",
                    "--no-fund",
                    "--silent",
                ])
                .current_dir(&home),
            "npm could not install the packages pinned in package-lock.json; it needs the package \
             registry, the first time only",
        );
    });
    home
}
