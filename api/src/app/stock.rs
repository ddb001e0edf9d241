//! The stock ledger: counts and movements are added, each once.

use scheduler::scenario::{Site, SiteId};

use crate::domain::codes::Codes;
use crate::domain::setup::SetupDocument;
use crate::domain::stock::{Count, Movement, Record, StockEntry, check, check_movement};
use crate::domain::{Refusal, time};
use crate::storage::{Connection, codes, setup, sites, stock};

/// Whether an entry is new, or this very one was recorded before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Recorded {
    New,
    Before,
}

/// Adds a count to the ledger.
pub(crate) fn record_count(
    conn: &mut Connection,
    site: &SiteId,
    count: Count,
) -> Result<(Recorded, StockEntry), Refusal> {
    let Books { site, setup, codes } = books(conn, site)?;
    check(&site, &setup, &codes, &count)?;
    record(conn, &site, &Record::Count(Box::new(count)))
}

/// Adds a movement to the ledger.
pub(crate) fn record_movement(
    conn: &mut Connection,
    site: &SiteId,
    movement: Movement,
) -> Result<(Recorded, StockEntry), Refusal> {
    let Books { site, setup, codes } = books(conn, site)?;
    check_movement(&setup, &codes, &movement)?;
    record(conn, &site, &Record::Movement(movement))
}

/// What a record is checked against.
struct Books {
    site: Site,
    setup: SetupDocument,
    codes: Codes,
}

fn books(conn: &mut Connection, id: &SiteId) -> Result<Books, Refusal> {
    let site = sites::load(conn, id)?;
    let setup = setup::load(conn, id)?;
    let codes = codes::find(conn, id)?.map(|found| found.document);
    Ok(Books {
        site,
        setup: setup.document,
        codes: codes.unwrap_or_default(),
    })
}

/// Adds an entry, unless it is there already or cannot be.
fn record(
    conn: &mut Connection,
    site: &Site,
    record: &Record,
) -> Result<(Recorded, StockEntry), Refusal> {
    record.check_time(time::now())?;
    record.check_reference()?;
    let zone = site.time_zone;
    if let Some(found) = stock::find(conn, &site.id, record.reference(), zone)? {
        if found.record == *record {
            return Ok((Recorded::Before, found));
        }
        return Err(Refusal::ReferenceReused(record.reference().clone()));
    }
    let entry = stock::admit(conn, &site.id, record, zone)?;
    Ok((Recorded::New, entry))
}
