//! The stock ledger in the database. Entries are added and read, never changed.

use chrono::{DateTime, FixedOffset, NaiveDateTime};
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

/// A place in the order of the ledger: what lies before it is looked at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Until {
    at: NaiveDateTime,
    seq: i64,
}

impl Until {
    /// Everything there is.
    const ALL: Self = Self {
        at: NaiveDateTime::MAX,
        seq: i64::MAX,
    };

    /// Everything up to and at an instant.
    pub(crate) fn instant(at: DateTime<FixedOffset>) -> Self {
        Self {
            at: row::stored(time::kept(at)),
            seq: i64::MAX,
        }
    }

    fn is_all(self) -> bool {
        self.at == NaiveDateTime::MAX
    }
}

/// What is on hand: the latest count and what moved since. None before the first count.
pub(crate) fn current(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
) -> Result<Option<Balance>, Refusal> {
    until(conn, site, zone, Until::ALL)
}

/// What was on hand at a place of the ledger.
pub(crate) fn until(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
    end: Until,
) -> Result<Option<Balance>, Refusal> {
    let Some((start, seq, count)) = latest_count(conn, site, zone, end)? else {
        return Ok(None);
    };
    let mut query = entries::table
        .filter(entries::site.eq(site.as_str()))
        .filter(entries::kind.eq("movement"))
        .filter(
            entries::at
                .gt(start)
                .or(entries::at.eq(start).and(entries::seq.gt(seq))),
        )
        .order((entries::at, entries::seq))
        .select(Entry::as_select())
        .into_boxed();
    if !end.is_all() {
        query = query.filter(
            entries::at
                .lt(end.at)
                .or(entries::at.eq(end.at).and(entries::seq.lt(end.seq))),
        );
    }
    let rows: Vec<Entry> = query.load(conn).map_err(StorageError::from)?;
    let mut since: Vec<Movement> = Vec::with_capacity(rows.len());
    for row in rows {
        if let Record::Movement(movement) = row.checked(zone)?.record {
            since.push(movement);
        }
    }
    balance(&count, &since).map(Some)
}

/// A count, and the books just before it.
pub(crate) fn count_at(
    conn: &mut Connection,
    site: &SiteId,
    seq: i64,
    zone: Tz,
) -> Result<(Count, Option<Balance>), Refusal> {
    let found: Option<Entry> = entries::table
        .find(seq)
        .filter(entries::site.eq(site.as_str()))
        .filter(entries::kind.eq("count"))
        .select(Entry::as_select())
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let row = found.ok_or(Refusal::UnknownCount(seq))?;
    let Record::Count(count) = row.checked(zone)?.record else {
        return Err(row.named().bad("a movement is marked as a count").into());
    };
    let before = until(conn, site, zone, Until { at: row.at, seq })?;
    Ok((*count, before))
}

fn latest_count(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
    end: Until,
) -> Result<Option<(NaiveDateTime, i64, Count)>, StorageError> {
    let mut query = entries::table
        .filter(entries::site.eq(site.as_str()))
        .filter(entries::kind.eq("count"))
        .order((entries::at.desc(), entries::seq.desc()))
        .select(Entry::as_select())
        .into_boxed();
    if !end.is_all() {
        query = query.filter(
            entries::at
                .lt(end.at)
                .or(entries::at.eq(end.at).and(entries::seq.lt(end.seq))),
        );
    }
    let found: Option<Entry> = query.first(conn).optional()?;
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
