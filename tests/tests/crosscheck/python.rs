//! The scripts that hold the model against other people's libraries.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// Where the scripts and the pins are.
fn scripts() -> PathBuf {
    tests::here().join("crosscheck")
}

/// Runs a script of `tests/crosscheck` on a folder: what it prints, or what it complains of.
pub(crate) fn run(script: &str, folder: &Path, arguments: &[&str]) -> Result<String, String> {
    static PYTHON: OnceLock<PathBuf> = OnceLock::new();
    let why = "to hold the model against other libraries";
    let python = PYTHON.get_or_init(|| tests::python::with(&scripts(), "crosscheck", why));
    let mut command = Command::new(python);
    // No bytecode beside the sources, and nothing from the user's own packages.
    command.args(["-B", "-I", "-W", "ignore"]);
    command
        .arg(scripts().join(script))
        .arg(folder)
        .args(arguments);
    let output = command
        .output()
        .unwrap_or_else(|error| panic!("{command:?} does not start: {error}"));
    let said = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    if output.status.success() {
        Ok(said(&output.stdout))
    } else {
        Err(said(&output.stdout) + &said(&output.stderr))
    }
}
