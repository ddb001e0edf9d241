//! `fizzwright key`: make an API key where nobody has one any more.

use clap::Args;
use scheduler::scenario::SiteId;

use super::{Failure, output, place};
use crate::domain::access::{KeyRequest, Scope};
use crate::domain::{Refusal, time};
use crate::problem::Chain;
use crate::settings::Flags;
use crate::storage::{Store, keys};

/// Make an API key. Whoever can do this can read and write the database anyway.
#[derive(Debug, Args)]
pub(crate) struct Key {
    /// What people call it.
    name: String,
    /// What it may do: read, floor, plan or admin.
    #[arg(long, value_parser = scope, default_value = "admin")]
    scope: Scope,
    /// Limit it to this site; can be given again.
    #[arg(long = "site", value_parser = site)]
    sites: Vec<SiteId>,
    #[command(flatten)]
    flags: Flags,
}

impl Key {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let place = place(&self.flags)?;
        let failed = |refusal: Refusal| Failure::other(Chain(&refusal));
        let request = KeyRequest {
            name: self.name,
            scopes: vec![self.scope],
            sites: Some(self.sites).filter(|sites| !sites.is_empty()),
            expires_at: None,
        };
        let key = request.make(time::now()).map_err(Failure::input)?;
        let store = Store::open(&place).map_err(|error| failed(error.into()))?;
        store
            .write_now(|conn| Ok::<_, Refusal>(keys::insert(conn, &key)?))
            .map_err(failed)?;
        output::print(&format!("{}\n", key.token.reveal()))
    }
}

pub(super) fn scope(text: &str) -> Result<Scope, String> {
    text.parse()
        .map_err(|_| "read, floor, plan and admin are allowed".to_owned())
}

pub(super) fn site(text: &str) -> Result<SiteId, String> {
    SiteId::parse(text).map_err(|error| error.to_string())
}
