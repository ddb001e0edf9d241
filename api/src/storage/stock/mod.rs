//! The stock ledger in the database. Entries are added and read, never changed.

mod books;
mod latest;

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::scenario::SiteId;

pub(crate) use books::{Until, books, current};
use books::{folded, followed};

use super::row::{self, Row};
use super::schema::{stock_books as copies, stock_entries as entries};
use super::{Connection, StorageError, events};
use crate::domain::codes::Grai;
use crate::domain::events::{EventData, EventKind};
use crate::domain::stock::{Balance, Count, Record, Reference, StockEntry, Wrong};
use crate::domain::{Refusal, time};

/// The most entries about one keg that are shown.
const MOST_OF_A_KEG: i64 = 2000;

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
fn append(
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
    // Copies of the books that lie behind it no longer hold.
    let behind = copies::table
        .filter(copies::site.eq(site.as_str()))
        .filter(copies::at.gt(row.at));
    diesel::delete(behind).execute(conn)?;
    let data = EventData {
        entry: Some(entry.seq),
        reference: Some(record.reference().clone()),
        at: Some(record.at()),
        ..EventData::default()
    };
    // Work that goes as planned does not put in doubt what was promised; what was found does.
    let kind = match record {
        Record::Work(_) => EventKind::StockBooked,
        Record::Count(_) | Record::Movement(_) => EventKind::StockRecorded,
    };
    events::append(conn, site, kind, &data)?;
    Ok(entry)
}

/// Records an entry, unless it says what cannot be after those before it.
///
/// # Errors
/// What is wrong with it: less than nothing would be left, or a keg named is somewhere else.
pub(crate) fn admit(
    conn: &mut Connection,
    site: &SiteId,
    record: &Record,
    zone: Tz,
) -> Result<StockEntry, Refusal> {
    let (entry, [known, wrong]) = enter(conn, site, record, zone)?;
    // An entry of work may have left less than later movements take; that is not this one's fault.
    if wrong.len() <= known.len() {
        return Ok(entry);
    }
    let mut new = wrong.into_iter().enumerate();
    match new.find(|(n, wrong)| known.get(*n) != Some(wrong)) {
        Some((_, wrong)) => Err(wrong.into()),
        None => Ok(entry),
    }
}

/// Books an entry that is a fact and is never refused.
pub(crate) fn book(
    conn: &mut Connection,
    site: &SiteId,
    record: &Record,
    zone: Tz,
) -> Result<StockEntry, Refusal> {
    enter(conn, site, record, zone).map(|(entry, _)| entry)
}

/// Adds an entry to the ledger and to the books; also what is wrong with them before and after it.
fn enter(
    conn: &mut Connection,
    site: &SiteId,
    record: &Record,
    zone: Tz,
) -> Result<(StockEntry, [Vec<Wrong>; 2]), Refusal> {
    let before = folded(conn, site, zone, Until::ALL)?;
    let known = before.as_ref().map(|folded| folded.books.wrong.clone());
    let entry = append(conn, site, record, zone)?;
    let after = followed(conn, site, zone, before, &entry)?;
    let wrong = after.map(|books| books.wrong);
    let [known, wrong] = [known, wrong].map(Option::unwrap_or_default);
    Ok((entry, [known, wrong]))
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
        return Err(row.named().bad("another entry is marked as a count").into());
    };
    let before = books(conn, site, zone, Until { at: row.at, seq })?;
    let balance = before.map(|books| books.balance(count.at));
    Ok((*count, balance))
}

/// Entries that name a keg, in order of time.
pub(crate) fn naming(
    conn: &mut Connection,
    site: &SiteId,
    grai: &Grai,
    zone: Tz,
) -> Result<Vec<StockEntry>, StorageError> {
    // Letters and digits only, so nothing in it stands for anything else.
    let pattern = format!("%\"{}\"%", grai.as_str());
    let rows: Vec<Entry> = entries::table
        .filter(entries::site.eq(site.as_str()))
        .filter(entries::document.like(pattern))
        .order((entries::at, entries::seq))
        .limit(MOST_OF_A_KEG)
        .select(Entry::as_select())
        .load(conn)?;
    let mut found: Vec<StockEntry> = Vec::with_capacity(rows.len());
    for row in rows {
        found.push(row.checked(zone)?);
    }
    // Case is not looked at in the database.
    found.retain(|entry| entry.record.names(grai));
    Ok(found)
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
