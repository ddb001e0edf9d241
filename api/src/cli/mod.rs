//! The command line: one file per command.

mod backup;
mod bundle;
mod capacity;
mod commitment;
mod confidence;
mod config;
mod ending;
mod failure;
mod file;
mod interrupt;
mod key;
mod limits;
mod migrate;
mod new;
mod openapi;
mod output;
mod person;
mod plan;
mod progress;
mod replan;
mod sample;
mod serve;
mod way_in;
mod what_if;
mod when;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

pub(crate) use failure::Failure;

use crate::settings::{self, Flags};
use crate::storage::DatabaseUrl;

/// Plans a soda program: what to boil, ice, fill, gas and wash, and when.
#[derive(Debug, Parser)]
#[command(name = "fizzwright", version, arg_required_else_help = true)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    New(new::New),
    Sample(sample::Sample),
    Plan(plan::Plan),
    Capacity(capacity::Capacity),
    Commitment(commitment::Commitment),
    Replan(replan::Replan),
    WhatIf(what_if::WhatIf),
    #[command(alias = "sure")]
    Confidence(confidence::Confidence),
    Serve(serve::Serve),
    Config(config::Config),
    Key(key::Key),
    Person(person::Person),
    Migrate(migrate::Migrate),
    Export(bundle::Export),
    Import(bundle::Import),
    Backup(backup::Backup),
    Restore(backup::Restore),
    Openapi(openapi::Openapi),
}

/// The database that settings name.
fn place(flags: &Flags) -> Result<DatabaseUrl, Failure> {
    let found = settings::find(flags).map_err(Failure::Input)?;
    found.settings.place().map_err(Failure::input)
}

/// Runs the command that was asked for.
pub(crate) fn run() -> ExitCode {
    let done = match Cli::parse().command {
        Command::New(command) => command.run(),
        Command::Sample(command) => command.run(),
        Command::Plan(command) => command.run(),
        Command::Capacity(command) => command.run(),
        Command::Commitment(command) => command.run(),
        Command::Replan(command) => command.run(),
        Command::WhatIf(command) => command.run(),
        Command::Confidence(command) => command.run(),
        Command::Serve(command) => command.run(),
        Command::Config(command) => command.run(),
        Command::Key(command) => command.run(),
        Command::Person(command) => command.run(),
        Command::Migrate(command) => command.run(),
        Command::Export(command) => command.run(),
        Command::Import(command) => command.run(),
        Command::Backup(command) => command.run(),
        Command::Restore(command) => command.run(),
        Command::Openapi(command) => command.run(),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.report(),
    }
}
