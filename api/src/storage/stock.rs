//! The stock ledger in the database. Entries are added and read, never changed.

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::scenario::SiteId;

use super::row::{self, Row};
use super::schema::stock_entries as entries;
use super::{Connection, StorageError, events};
use crate::domain::events::{EventData, EventKind};
use crate::domain::stock::{Balance, Count, Movement, Record, Reference, StockEntry, balance};
use crate::domain::{Refusal, time};

#[derive(Queryable, Selectable)]
#[diesel(table_name = entries)]
struct Entry {
    seq: i64,
    at: NaiveDateTime,
    document: String,
    recorded_at: NaiveDateTime,
}

/// Entries after a place in the ledger, in the order of recording.
pub(crate) fn list(
    conn: &mut Connection,
    site: &SiteId,
    after: i64,
    limit: i64,
    zone: Tz,
) -> Result<Vec<StockEntry>, StorageError> {
    let rows: Vec<Entry> = entries::table
        .filter(entries::site.eq(site.as_str()))
        .filter(entries::seq.gt(after))
        .order(entries::seq)
        .limit(limit)
        .select(Entry::as_select())
        .load(conn)?;
    rows.iter().map(|row| row.checked(zone)).collect()
}

/// The entry recorded under a reference.
pub(crate) fn find(
    conn: &mut Connection,
    site: &SiteId,
    reference: &Reference,
    zone: Tz,
) -> Result<Option<StockEntry>, StorageError> {
    let found: Option<Entry> = entries::table
        .filter(entries::site.eq(site.as_str()))
        .filter(entries::reference.eq(reference.as_str()))
        .select(Entry::as_select())
        .first(conn)
        .optional()?;
    found.map(|row| row.checked(zone)).transpose()
}

/// Adds an entry and gives its place in the ledger.
pub(crate) fn append(
    conn: &mut Connection,
    site: &SiteId,
    record: &Record,
    zone: Tz,
) -> Result<StockEntry, StorageError> {
    let row: Entry = diesel::insert_into(entries::table)
        .values((
            entries::site.eq(site.as_str()),
            entries::reference.eq(record.reference().as_str()),
            entries::at.eq(row::stored(time::kept(record.at()))),
            entries::kind.eq(record.kind()),
            entries::document.eq(row::text("a stock entry", record)?),
            entries::recorded_at.eq(row::stored(time::now())),
        ))
        .returning((
            entries::seq,
            entries::at,
            entries::document,
            entries::recorded_at,
        ))
        .get_result(conn)?;
    let entry = row.checked(zone)?;
    let data = EventData {
        entry: Some(entry.seq),
        reference: Some(record.reference().clone()),
        at: Some(record.at()),
        ..EventData::default()
    };
    events::append(conn, site, EventKind::StockRecorded, &data)?;
    Ok(entry)
}

/// What is on hand: the latest count and what moved since. None before the first count.
pub(crate) fn current(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
) -> Result<Option<Balance>, Refusal> {
    let Some((start, seq, count)) = latest_count(conn, site, zone)? else {
        return Ok(None);
    };
    let rows: Vec<Entry> = entries::table
        .filter(entries::site.eq(site.as_str()))
        .filter(entries::kind.eq("movement"))
        .filter(
            entries::at
                .gt(start)
                .or(entries::at.eq(start).and(entries::seq.gt(seq))),
        )
        .order((entries::at, entries::seq))
        .select(Entry::as_select())
        .load(conn)
        .map_err(StorageError::from)?;
    let mut since: Vec<Movement> = Vec::with_capacity(rows.len());
    for row in rows {
        if let Record::Movement(movement) = row.checked(zone)?.record {
            since.push(movement);
        }
    }
    balance(&count, &since).map(Some)
}

fn latest_count(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
) -> Result<Option<(NaiveDateTime, i64, Count)>, StorageError> {
    let found: Option<Entry> = entries::table
        .filter(entries::site.eq(site.as_str()))
        .filter(entries::kind.eq("count"))
        .order((entries::at.desc(), entries::seq.desc()))
        .select(Entry::as_select())
        .first(conn)
        .optional()?;
    let Some(row) = found else {
        return Ok(None);
    };
    match row.checked(zone)?.record {
        Record::Count(count) => Ok(Some((row.at, row.seq, *count))),
        Record::Movement(_) => Err(row.named().bad("a movement is marked as a count")),
    }
}

impl Entry {
    fn named(&self) -> Row<'_> {
        Row {
            table: "stock_entries",
            key: &self.seq,
        }
    }

    fn checked(&self, zone: Tz) -> Result<StockEntry, StorageError> {
        Ok(StockEntry {
            seq: self.seq,
            recorded_at: row::local(self.recorded_at, zone),
            record: self.named().document(&self.document)?,
        })
    }
}
