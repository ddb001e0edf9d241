//! `fizzwright backup` and `restore`: copies of an SQLite database, while the service runs.

use std::path::PathBuf;

use clap::Args;

use super::{Failure, output, place};
use crate::problem::Chain;
use crate::settings::Flags;
use crate::storage::{Place, backup};

/// Copy the database to a new file, while the service runs.
#[derive(Debug, Args)]
pub(crate) struct Backup {
    /// The file to write; it must not be there yet.
    file: PathBuf,
    #[command(flatten)]
    flags: Flags,
}

/// Put a copy of the database back, while the service runs. What came after the copy is lost.
#[derive(Debug, Args)]
pub(crate) struct Restore {
    /// The file `fizzwright backup` wrote.
    file: PathBuf,
    #[command(flatten)]
    flags: Flags,
}

impl Backup {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let database = file(&self.flags, "pg_dump")?;
        let to = self.file.display();
        if self.file.exists() {
            return Err(Failure::input(format!("{to}: it is there already")));
        }
        if !database.is_file() {
            let what = format!("{}: there is no such database", database.display());
            return Err(Failure::input(what));
        }
        backup::backup(&database, &self.file).map_err(|error| Failure::other(Chain(&error)))?;
        output::print(&format!("{} is copied to {to}\n", database.display()))
    }
}

impl Restore {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let database = file(&self.flags, "pg_restore")?;
        let from = self.file.display();
        if !self.file.is_file() {
            return Err(Failure::input(format!("{from}: there is no such file")));
        }
        backup::restore(&self.file, &database).map_err(|error| Failure::other(Chain(&error)))?;
        output::print(&format!("{} is as it was in {from}\n", database.display()))
    }
}

/// The file of the database; PostgreSQL has tools of its own.
fn file(flags: &Flags, tool: &str) -> Result<PathBuf, Failure> {
    match place(flags)? {
        Place::File(path) => Ok(path),
        Place::Server(_) => Err(Failure::input(format!(
            "this is for SQLite; for PostgreSQL use {tool}, which also works while the service runs"
        ))),
    }
}
