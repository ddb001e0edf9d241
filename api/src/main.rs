//! The program `fizzwright`.

use std::process::ExitCode;

fn main() -> ExitCode {
    api::run()
}
