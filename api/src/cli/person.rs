//! `fizzwright person`: let somebody sign in to the board, where nobody may yet or a password is lost.

use clap::Args;
use scheduler::scenario::SiteId;

use super::key::{scope, site};
use super::{Failure, output, place};
use crate::domain::Refusal;
use crate::domain::access::{Scope, made_up};
use crate::problem::Chain;
use crate::settings::Flags;
use crate::storage::{Store, people};

/// Add a person who may sign in to the board, with a password that is made up and printed once.
/// Whoever can do this can read and write the database anyway.
#[derive(Debug, Args)]
pub(crate) struct Person {
    /// The name to sign in with.
    name: String,
    /// What they may do: read, floor, plan or admin.
    #[arg(long, value_parser = scope, default_value = "admin")]
    scope: Scope,
    /// Limit them to this site; can be given again.
    #[arg(long = "site", value_parser = site)]
    sites: Vec<SiteId>,
    #[command(flatten)]
    flags: Flags,
}

impl Person {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let place = place(&self.flags)?;
        let failed = |refusal: Refusal| Failure::other(Chain(&refusal));
        let sites = Some(self.sites).filter(|sites| !sites.is_empty());
        let made = made_up(&self.name, self.scope, sites).map_err(Failure::input)?;
        let store = Store::open(&place).map_err(|error| failed(error.into()))?;
        store
            .write_now(
                |conn| match people::insert(conn, &made.person, &made.hash)? {
                    true => Ok(()),
                    false => Err(Refusal::PersonExists(made.person.name.clone())),
                },
            )
            .map_err(failed)?;
        output::print(&format!("{}\n", made.password))
    }
}
