//! A site as one file: taken out, and put in as a new site.

use scheduler::scenario::SiteId;

use super::{demand as wanted, sites as places, stock as ledger};
use crate::domain::assumed::standing;
use crate::domain::bundle::{Format, SiteBundle};
use crate::domain::demand::Range;
use crate::domain::setup::SetupDocument;
use crate::domain::stock::Count;
use crate::domain::{Refusal, Revision};
use crate::storage::{Connection, assumed, codes, demand, setup, sites, stock};

/// What the count of a site that was put in is called in its ledger.
const REFERENCE: &str = "put-in";

/// A site as it is now.
pub(crate) fn export(conn: &mut Connection, id: &SiteId) -> Result<SiteBundle, Refusal> {
    let site = sites::load(conn, id)?;
    let zone = site.time_zone;
    let found = setup::latest(conn, id)?.map(|found| found.document);
    let (setup, policy) = match found {
        Some(document) => (Some(document.setup), Some(document.policy)),
        None => (None, None),
    };
    Ok(SiteBundle {
        format: Format::Site1,
        setup,
        policy,
        demand: demand::list(conn, id, Range::to_come(zone), zone)?,
        stock: stock::current(conn, id, zone)?.map(|balance| balance.stock),
        codes: codes::find(conn, id)?.map(|found| found.document),
        assumed: assumed::list(conn, id)?,
        site,
    })
}

/// Puts a site in under the id it has, all of it or nothing.
pub(crate) fn import(conn: &mut Connection, bundle: SiteBundle) -> Result<SiteId, Refusal> {
    let site = places::create(conn, bundle.site)?;
    let (Some(setup), Some(policy)) = (bundle.setup, bundle.policy) else {
        return Ok(site.id);
    };
    let document = SetupDocument { setup, policy };
    let left = standing(&bundle.assumed, &site, &document)?;
    super::setup::begin(conn, &site, &document, &left)?;
    if let Some(said) = &bundle.codes {
        said.check(&document)?;
        codes::store(conn, &site.id, Revision::FIRST, said)?;
    }
    if !bundle.demand.is_empty() {
        wanted::import(conn, &site.id, &bundle.demand)?;
    }
    if let Some(stock) = bundle.stock {
        let count = Count::now(REFERENCE, site.time_zone, stock)?;
        ledger::record_count(conn, &site.id, count)?;
    }
    Ok(site.id)
}
