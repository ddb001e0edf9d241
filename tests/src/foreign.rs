//! Programs other people wrote, in a place of their own under the target folder.

use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;

/// A place for what follows from these texts: pins, and the version of what runs them.
#[must_use]
pub fn home(name: &str, follows_from: &[&str]) -> PathBuf {
    let mut hasher = DefaultHasher::new();
    follows_from.hash(&mut hasher);
    target().join(format!("{name}-{:016x}", hasher.finish()))
}

/// Makes a place unless it was made before; a half-made one is thrown away.
///
/// # Panics
/// If it cannot be made.
pub fn made(home: &Path, make: impl FnOnce()) {
    static ONE_AFTER_THE_OTHER: Mutex<()> = Mutex::new(());
    let _alone = ONE_AFTER_THE_OTHER.lock();
    let done = home.join("complete");
    if done.is_file() {
        return;
    }
    if home.exists() {
        fs::remove_dir_all(home).expect("a half-made place can be removed");
    }
    make();
    fs::write(done, "").expect("a mark");
}

/// The target folder: two levels above this test, target/PROFILE/deps/TEST.
///
/// # Panics
/// If this is no test.
#[must_use]
pub fn target() -> PathBuf {
    let test = std::env::current_exe().expect("a test knows where it is");
    let deps = test.parent().expect("deps");
    deps.ancestors().nth(2).expect("target").to_path_buf()
}

/// What a command prints; if it fails, the test does, with what to do about it.
///
/// # Panics
/// If it fails.
pub fn well(command: &mut Command, otherwise: &str) -> String {
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
