//! Writing results to standard output.

use std::io::{ErrorKind, Write};

use serde::Serialize;

use super::Failure;

/// Prints a text as it is. A reader that has gone away (as `head` does) is not a failure.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::other(format!("standard output: {error}")))
        }
        _ => Ok(()),
    }
}

/// Prints a value as JSON for people to read.
pub(crate) fn print_json(value: &impl Serialize) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value).map_err(Failure::other)?;
    print(&(text + "\n"))
}
