//! `fizzwright migrate`: bring the database up to date without serving.

use clap::Args;

use super::{Failure, output, place};
use crate::problem::Chain;
use crate::settings::Flags;
use crate::storage::Store;

/// Make the database if there is none, and bring its tables up to date.
#[derive(Debug, Args)]
pub(crate) struct Migrate {
    #[command(flatten)]
    flags: Flags,
}

impl Migrate {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let place = place(&self.flags)?;
        let (_, done) =
            Store::open_and_tell(&place).map_err(|error| Failure::other(Chain(&error)))?;
        if done.is_empty() {
            return output::print(&format!("{place} is up to date\n"));
        }
        for version in done {
            output::print(&format!("{place}: {version}\n"))?;
        }
        Ok(())
    }
}
