//! The command line: one file per command.

mod capacity;
mod commitment;
mod failure;
mod file;
mod interrupt;
mod limits;
mod openapi;
mod output;
mod plan;
mod progress;
mod replan;
mod sample;
mod serve;
mod sure;
mod what_if;
mod when;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

pub(crate) use failure::Failure;

/// Plans a soda program: what to boil, ice, fill, gas and wash, and when.
#[derive(Debug, Parser)]
#[command(name = "fizzwright", version, arg_required_else_help = true)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Sample(sample::Sample),
    Plan(plan::Plan),
    Capacity(capacity::Capacity),
    Commitment(commitment::Commitment),
    Replan(replan::Replan),
    WhatIf(what_if::WhatIf),
    Sure(sure::Sure),
    Serve(serve::Serve),
    Openapi(openapi::Openapi),
}

/// Runs the command that was asked for.
pub(crate) fn run() -> ExitCode {
    let done = match Cli::parse().command {
        Command::Sample(command) => command.run(),
        Command::Plan(command) => command.run(),
        Command::Capacity(command) => command.run(),
        Command::Commitment(command) => command.run(),
        Command::Replan(command) => command.run(),
        Command::WhatIf(command) => command.run(),
        Command::Sure(command) => command.run(),
        Command::Serve(command) => command.run(),
        Command::Openapi(command) => command.run(),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.report(),
    }
}
