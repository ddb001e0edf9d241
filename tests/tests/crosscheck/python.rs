//! A private Python with the pinned libraries, made once and used again.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

/// Where the scripts and the pins are.
fn scripts() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("crosscheck")
}

/// Runs a script of `tests/crosscheck` on a folder: what it prints, or what it complains of.
pub(crate) fn run(script: &str, folder: &Path, arguments: &[&str]) -> Result<String, String> {
    static PYTHON: OnceLock<PathBuf> = OnceLock::new();
    let python = PYTHON.get_or_init(interpreter);
    let mut command = Command::new(python);
    // No bytecode beside the sources, and nothing from the user's own packages.
    command.args(["-B", "-I", "-W", "ignore"]);
    command
        .arg(scripts().join(script))
        .arg(folder)
        .args(arguments);
    let output = finished(&mut command);
    let said = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    if output.status.success() {
        Ok(said(&output.stdout))
    } else {
        Err(said(&output.stdout) + &said(&output.stderr))
    }
}

/// The interpreter of an environment that has just the pinned libraries.
fn interpreter() -> PathBuf {
    let pins = std::fs::read_to_string(scripts().join("requirements.txt")).unwrap();
    let version = well(
        Command::new("python3").arg("--version"),
        "python3 is needed (3.11 or later) to hold the model against other libraries; \
         `make setup` installs it",
    );
    let mut hasher = DefaultHasher::new();
    (&pins, &version).hash(&mut hasher);
    let home = target().join(format!("crosscheck-{:016x}", hasher.finish()));
    let python = home.join("bin/python");
    let done = home.join("complete");
    if !done.is_file() {
        make(&home, &python);
        std::fs::write(done, &pins).unwrap();
    }
    python
}

/// Makes the environment anew; a half-made one is thrown away.
fn make(home: &Path, python: &Path) {
    if home.exists() {
        std::fs::remove_dir_all(home).unwrap();
    }
    well(
        Command::new("python3").args(["-m", "venv"]).arg(home),
        "python3 lacks its module venv; `make setup` installs it (package python3-venv)",
    );
    well(
        Command::new(python)
            .args([
                "-m",
                "pip",
                "install",
                "--quiet",
                "--disable-pip-version-check",
            ])
            .args([
                "--require-hashes",
                "--only-binary",
                ":all:",
                "--no-deps",
                "-r",
            ])
            .arg(scripts().join("requirements.txt")),
        "pip could not install the libraries pinned in tests/crosscheck/requirements.txt; it \
         needs Python 3.11 or later and the Python package index, the first time only",
    );
}

/// Two levels above this test, target/PROFILE/deps/TEST.
fn target() -> PathBuf {
    let test = std::env::current_exe().unwrap();
    let deps = test.parent().unwrap();
    deps.ancestors().nth(2).unwrap().to_path_buf()
}

fn finished(command: &mut Command) -> Output {
    command
        .output()
        .unwrap_or_else(|error| panic!("{command:?} does not start: {error}"))
}

/// What a command prints; if it fails, the test does, with what to do about it.
fn well(command: &mut Command, otherwise: &str) -> String {
    match command.output() {
        Ok(output) if output.status.success() => {
            String::from_utf8_lossy(&output.stdout).into_owned()
        }
        Ok(output) => panic!(
            "{otherwise}\n{command:?}: {}\n{}{}",
            output.status,
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        ),
        Err(error) => panic!("{otherwise}\n{command:?}: {error}"),
    }
}
