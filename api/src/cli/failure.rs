//! How a command fails: a clear message and an exit code, never a panic.

use std::fmt::Display;
use std::process::ExitCode;

use scheduler::answer::NoAnswer;

/// Why a command has nothing to show.
#[derive(Debug)]
pub(crate) enum Failure {
    /// What was given cannot be used; one message for each thing wrong with it.
    Input(Vec<String>),
    /// Something else went wrong.
    Other(String),
}

impl Failure {
    /// One thing is wrong with what was given.
    pub(crate) fn input(message: impl Display) -> Self {
        Self::Input(vec![message.to_string()])
    }

    /// Something else went wrong.
    pub(crate) fn other(message: impl Display) -> Self {
        Self::Other(message.to_string())
    }

    /// Says on standard error what is wrong, and gives the exit code.
    pub(crate) fn report(self) -> ExitCode {
        let (messages, code) = match self {
            Self::Input(messages) => (messages, 2),
            Self::Other(message) => (vec![message], 1),
        };
        for message in messages {
            eprintln!("fizzwright: {message}");
        }
        ExitCode::from(code)
    }
}

impl From<NoAnswer> for Failure {
    fn from(error: NoAnswer) -> Self {
        match error {
            NoAnswer::NoDemand | NoAnswer::BadQuestion { .. } | NoAnswer::Physics(_) => {
                Self::input(error)
            }
            NoAnswer::Export(_) => Self::input(format!("--export-model: {error}")),
            other => Self::other(other),
        }
    }
}
