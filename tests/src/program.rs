//! Running the program and looking at how it ended.

use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// The program, built beside this test.
///
/// # Panics
/// If it is not there.
#[must_use]
pub fn path() -> PathBuf {
    let test = std::env::current_exe().expect("a test knows where it is");
    let built = test
        .parent()
        .and_then(|deps| deps.parent())
        .expect("target/PROFILE/deps/TEST");
    let program = built.join("fizzwright");
    assert!(
        program.is_file(),
        "{} is not there: build the whole workspace, `cargo build --workspace`",
        program.display()
    );
    program
}

/// How the program ended, and what it said.
#[derive(Debug)]
pub struct Ended {
    /// Exit code; none if a signal ended it.
    pub code: Option<i32>,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Ended {
    /// Standard output as JSON.
    ///
    /// # Panics
    /// If it is not JSON.
    #[must_use]
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("not JSON: {e}\n{}", self.out))
    }

    /// The same, after checking that it ended well.
    ///
    /// # Panics
    /// If the exit code is not 0.
    #[must_use]
    pub fn well(self) -> Self {
        assert_eq!(self.code, Some(0), "{}", self.err);
        self
    }
}

/// Runs the program with arguments and a text on standard input.
///
/// # Panics
/// If it cannot be run.
#[must_use]
pub fn fizzwright(arguments: &[&str], input: &[u8]) -> Ended {
    let mut child = Command::new(path())
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut stdin = child.stdin.take().expect("stdin is piped");
    let input = input.to_vec();
    // A program that refuses its input early closes the pipe; that is not this side's failure.
    let writer = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let said = child.wait_with_output().expect("the program ends");
    writer.join().expect("the input was written");
    Ended {
        code: said.status.code(),
        out: String::from_utf8_lossy(&said.stdout).into_owned(),
        err: String::from_utf8_lossy(&said.stderr).into_owned(),
    }
}
