//! `fizzwright backup` and `restore`: copies of an SQLite database, while the service runs.

use std::path::PathBuf;

use clap::Args;

use super::{Failure, output, place};
use crate::problem::Chain;
use crate::settings::Flags;
use crate::storage::DatabaseUrl;
use crate::storage::backup::{self, Ended, Unknown};

/// Copy the database to a new file, while the service runs.
#[derive(Debug, Args)]
pub(crate) struct Backup {
    /// The file to write; it must not be there yet.
    file: PathBuf,
    #[command(flatten)]
    flags: Flags,
}

/// Put a copy of the database back, while the service runs. What came after the copy is lost; keys
/// that were revoked since and people who were taken away do not come back, and sessions end.
#[derive(Debug, Args)]
pub(crate) struct Restore {
    /// The file `fizzwright backup` wrote.
    file: PathBuf,
    /// The database is lost and this one is new: keep the copy's keys, people and calendars though
    /// it does not know them. Those it knows as revoked stay revoked.
    #[arg(long)]
    keep_keys: bool,
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
        let unknown = if self.keep_keys {
            Unknown::Keep
        } else {
            Unknown::End
        };
        let ended = backup::restore(&self.file, &database, unknown)
            .map_err(|error| Failure::other(Chain(&error)))?;
        output::print(&format!("{} is as it was in {from}\n", database.display()))?;
        output::print(&told(ended))
    }
}

/// What did not come back, and what to do about it.
fn told(ended: Ended) -> String {
    let mut text = String::new();
    let mut add = |count: i64, what: &str| {
        if count > 0 {
            text.push_str(&format!("{what}: {count}\n"));
        }
    };
    add(ended.keys, "keys of the copy that do not work any more");
    add(
        ended.people,
        "people of the copy who are not there any more",
    );
    add(
        ended.calendars,
        "calendar feeds of the copy that are not there any more",
    );
    add(ended.webhooks, "webhooks of the copy that are disabled");
    if ended.keys_left == 0 {
        text.push_str("no key works now; `fizzwright key NAME` makes one\n");
    }
    text
}

/// The file of the database; PostgreSQL has tools of its own.
fn file(flags: &Flags, tool: &str) -> Result<PathBuf, Failure> {
    match place(flags)? {
        DatabaseUrl::File(path) => Ok(path),
        DatabaseUrl::Server(..) => Err(Failure::input(format!(
            "this is for SQLite; for PostgreSQL use {tool}, which also works while the service runs"
        ))),
    }
}
