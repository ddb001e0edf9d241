//! `fizzwright export` and `fizzwright import`: a site as one file.

use std::path::PathBuf;

use clap::Args;
use scheduler::scenario::SiteId;

use super::key::site;
use super::{Failure, file, output, place};
use crate::app;
use crate::domain::Refusal;
use crate::domain::bundle::SiteBundle;
use crate::problem::Chain;
use crate::settings::Flags;
use crate::storage::Store;

/// Print a site of a database as one file: its facts, setup, demand to come, stock and codes.
#[derive(Debug, Args)]
pub(crate) struct Export {
    /// The site's id.
    #[arg(value_parser = site)]
    site: SiteId,
    #[command(flatten)]
    flags: Flags,
}

/// Put a site into a database from one file, as a new site.
#[derive(Debug, Args)]
pub(crate) struct Import {
    /// The file; `-` reads standard input.
    file: PathBuf,
    /// Another id than in the file, to start another site from it.
    #[arg(long, value_parser = site)]
    id: Option<SiteId>,
    /// Another name.
    #[arg(long)]
    name: Option<String>,
    #[command(flatten)]
    flags: Flags,
}

impl Export {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let store = open(&self.flags)?;
        let bundle = store.write_now(|conn| app::bundles::export(conn, &self.site));
        output::print_json(&bundle.map_err(refused)?)
    }
}

impl Import {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let bundle: SiteBundle = file::document(&self.file)?;
        let store = open(&self.flags)?;
        let bundle = bundle.named(self.id, self.name);
        let made = store.write_now(|conn| app::bundles::import(conn, bundle));
        output::print(&format!("{}\n", made.map_err(refused)?))
    }
}

fn open(flags: &Flags) -> Result<Store, Failure> {
    let place = place(flags)?;
    Store::open(&place).map_err(|error| refused(error.into()))
}

fn refused(refusal: Refusal) -> Failure {
    match refusal {
        Refusal::Invalid(faults) => {
            Failure::Input(faults.iter().map(ToString::to_string).collect())
        }
        other @ (Refusal::SiteExists(_) | Refusal::UnknownSite(_)) => Failure::input(other),
        other => Failure::other(Chain(&other)),
    }
}
