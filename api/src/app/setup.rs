//! A site's setup: replaced, patched, and compared with what it was.

use scheduler::check::Fault;
use scheduler::draft::Assumption;
use scheduler::scenario::{Product, Site, SiteId};
use serde_json::{Map, Value};

use super::drafts::settle;
use crate::domain::demand::Range;
use crate::domain::setup::{SetupChanges, SetupDocument, StoredSetup, check, patched};
use crate::domain::{Expected, Refusal, Revised, Revision, Stored};
use crate::storage::{Connection, assumed, demand, setup, sites, stock};

/// Stores a setup in the place of the one before, and gives it as it is then. One that says the same
/// makes no new revision.
pub(crate) fn replace(
    conn: &mut Connection,
    site: &SiteId,
    expected: &Expected,
    document: &SetupDocument,
) -> Result<(Stored, StoredSetup), Refusal> {
    let at = sites::load(conn, site)?;
    let latest = setup::latest(conn, site)?;
    check(&at, document)?;
    expected.admit(latest.as_ref().map(|found| found.revision))?;
    put(conn, &at, latest.as_ref(), document)
}

/// Stores a setup after the latest one. One that says the same makes no new revision.
fn put(
    conn: &mut Connection,
    at: &Site,
    latest: Option<&Revised<SetupDocument>>,
    document: &SetupDocument,
) -> Result<(Stored, StoredSetup), Refusal> {
    let first = latest.is_none();
    let answer = StoredSetup::of(at, document);
    let revision = match latest {
        Some(found) if found.document == *document => {
            let revision = found.revision;
            return Ok((Stored { revision, first }, answer));
        }
        Some(found) => found.revision.next(),
        None => Revision::FIRST,
    };
    setup::insert(conn, &at.id, revision, document)?;
    settle(conn, at, document)?;
    Ok((Stored { revision, first }, answer))
}

/// Stores the first setup of a site that was just made, with what is assumed in it.
pub(crate) fn begin(
    conn: &mut Connection,
    site: &Site,
    document: &SetupDocument,
    assumptions: &[Assumption],
) -> Result<(), Refusal> {
    check(site, document)?;
    setup::insert(conn, &site.id, Revision::FIRST, document)?;
    Ok(assumed::store(conn, &site.id, assumptions)?)
}

/// Changes parts of a setup, and gives it as it is then.
pub(crate) fn patch(
    conn: &mut Connection,
    site: &SiteId,
    expected: &Expected,
    patch: &Map<String, Value>,
) -> Result<(Revision, StoredSetup), Refusal> {
    let at = sites::load(conn, site)?;
    let latest = setup::load(conn, site)?;
    let document = patched(&latest.document, patch)?;
    check(&at, &document)?;
    expected.admit(Some(latest.revision))?;
    let (stored, answer) = put(conn, &at, Some(&latest), &document)?;
    Ok((stored.revision, answer))
}

/// Stores a document in the place of the revision that somebody saw, and of no other.
pub(crate) fn keep(
    conn: &mut Connection,
    site: &SiteId,
    seen: Option<&str>,
    document: &SetupDocument,
) -> Result<(), Refusal> {
    let at = sites::load(conn, site)?;
    let latest = setup::load(conn, site)?;
    if seen != Some(latest.revision.to_string().as_str()) {
        return Err(Refusal::ChangedSince {
            current: Some(latest.revision),
        });
    }
    check(&at, document)?;
    still_used(conn, &at, &latest.document, document)?;
    put(conn, &at, Some(&latest), document)?;
    Ok(())
}

/// Refuses to let products go that are still wanted or stand there: no plan could be made any more.
fn still_used(
    conn: &mut Connection,
    site: &Site,
    before: &SetupDocument,
    after: &SetupDocument,
) -> Result<(), Refusal> {
    let stays = |product: &Product| after.setup.products.iter().any(|p| p.id == product.id);
    let gone = before.setup.products.iter().filter(|p| !stays(p));
    let gone: Vec<&Product> = gone.collect();
    if gone.is_empty() {
        return Ok(());
    }
    let zone = site.time_zone;
    let wanted = demand::list(conn, &site.id, Range::to_come(zone), zone)?;
    let there = stock::current(conn, &site.id, zone)?.map(|balance| balance.stock);
    let faults = gone.into_iter().filter_map(|product| {
        let lines = wanted.iter().filter(|l| l.product == product.id).count();
        let ready = there.iter().flat_map(|stock| &stock.ready);
        let ready = ready.filter(|r| r.product == product.id);
        let kegs: u32 = ready.map(|r| u32::from(r.kegs)).sum();
        let tapped = there.iter().flat_map(|stock| &stock.on_tap);
        let kegs = kegs as usize + tapped.filter(|t| t.product == product.id).count();
        (lines + kegs > 0).then(|| Fault {
            field: format!("setup.products, {}", product.name),
            what: format!(
                "taken out, and still used; lines of demand from now on that name it: {lines}; kegs of \
                 it that stand ready or on tap: {kegs}"
            ),
        })
    });
    let faults: Vec<Fault> = faults.collect();
    match faults.is_empty() {
        true => Ok(()),
        false => Err(Refusal::Invalid(faults)),
    }
}

/// The setup as it was at a revision.
pub(crate) fn at(
    conn: &mut Connection,
    site: &SiteId,
    revision: Revision,
) -> Result<Revised<SetupDocument>, Refusal> {
    sites::load(conn, site)?;
    setup::at(conn, site, revision)?.ok_or(Refusal::UnknownRevision(revision))
}

/// What turns one revision of a setup into another.
pub(crate) fn changes(
    conn: &mut Connection,
    site: &SiteId,
    from: Revision,
    to: Revision,
) -> Result<SetupChanges, Refusal> {
    let (from, to) = (at(conn, site, from)?, at(conn, site, to)?);
    SetupChanges::between(&from, &to)
}
