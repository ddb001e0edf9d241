//! The stock ledger in the database. Entries are added and read, never changed.

use chrono::{DateTime, FixedOffset, NaiveDateTime};
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::scenario::SiteId;

use super::row::{self, Row};
use super::schema::{stock_books as copies, stock_entries as entries};
use super::{Connection, StorageError, events};
use crate::domain::codes::Grai;
use crate::domain::events::{EventData, EventKind};
use crate::domain::stock::{Balance, Books, Count, Record, Reference, StockEntry};
use crate::domain::{Refusal, time};

/// A copy of the books is kept after this many entries.
const COPY_EVERY: usize = 25;

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

/// A place in the order of the ledger: what lies before it is looked at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Until {
    at: NaiveDateTime,
    seq: i64,
}

impl Until {
    /// Everything there is.
    pub(crate) const ALL: Self = Self {
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
    let before = folded(conn, site, zone, Until::ALL)?;
    let known = before.as_ref().map(|folded| folded.books.wrong.clone());
    let entry = append(conn, site, record, zone)?;
    let after = followed(conn, site, zone, before, &entry)?;
    // An entry of work may have left less than later movements take; that is not this one's fault.
    let known = known.unwrap_or_default();
    let wrong = after.map(|books| books.wrong).unwrap_or_default();
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
    let before = folded(conn, site, zone, Until::ALL)?;
    let entry = append(conn, site, record, zone)?;
    followed(conn, site, zone, before, &entry)?;
    Ok(entry)
}

/// What is on hand now. None before the first count.
pub(crate) fn current(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
) -> Result<Option<Balance>, Refusal> {
    let books = books(conn, site, zone, Until::ALL)?;
    let now = time::now().with_timezone(&zone).fixed_offset();
    Ok(books.map(|books| books.balance(now)))
}

/// The books at a place of the ledger. None before the first count.
pub(crate) fn books(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
    end: Until,
) -> Result<Option<Books>, Refusal> {
    Ok(folded(conn, site, zone, end)?.map(|folded| folded.books))
}

/// The books after an entry that was just added; a copy is kept where many entries lie behind it.
fn followed(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
    before: Option<Folded>,
    entry: &StockEntry,
) -> Result<Option<Books>, Refusal> {
    let place = (row::stored(time::kept(entry.record.at())), entry.seq);
    let follows = before.as_ref().is_some_and(|folded| folded.last <= place);
    let after = if follows {
        let entries = before.as_ref().map_or(0, |folded| folded.entries);
        let books = before.map(|folded| folded.books);
        let books = Books::after(books, entry.seq, &entry.record);
        books.map(|books| Folded {
            books,
            entries: entries + 1,
            last: place,
        })
    } else {
        folded(conn, site, zone, Until::ALL)?
    };
    let Some(after) = after else {
        return Ok(None);
    };
    if after.entries >= COPY_EVERY {
        let (at, seq) = after.last;
        diesel::insert_into(copies::table)
            .values((
                copies::site.eq(site.as_str()),
                copies::at.eq(at),
                copies::seq.eq(seq),
                copies::document.eq(row::text("books", &after.books)?),
            ))
            .execute(conn)
            .map_err(StorageError::from)?;
    }
    Ok(Some(after.books))
}

/// Books, and how they came about.
struct Folded {
    books: Books,
    /// Entries since the copy it started from.
    entries: usize,
    /// The place of the last of them.
    last: (NaiveDateTime, i64),
}

fn folded(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
    end: Until,
) -> Result<Option<Folded>, StorageError> {
    let copy = copy_before(conn, site, end)?;
    let start = copy.as_ref().map(|(at, seq, _)| (*at, *seq));
    let mut books = copy.map(|(_, _, books)| books);
    let rows = between(conn, site, start, end)?;
    let last = rows.last().map(|row| (row.at, row.seq)).or(start);
    let entries = rows.len();
    for row in rows {
        let entry = row.checked(zone)?;
        books = Books::after(books, entry.seq, &entry.record);
    }
    let found = books.zip(last);
    Ok(found.map(|(books, last)| Folded {
        books,
        entries,
        last,
    }))
}

/// Entries of a stretch of the ledger, in order of time.
fn between(
    conn: &mut Connection,
    site: &SiteId,
    start: Option<(NaiveDateTime, i64)>,
    end: Until,
) -> Result<Vec<Entry>, StorageError> {
    let mut query = entries::table
        .filter(entries::site.eq(site.as_str()))
        .order((entries::at, entries::seq))
        .select(Entry::as_select())
        .into_boxed();
    if let Some((at, seq)) = start {
        let same = entries::at.eq(at).and(entries::seq.gt(seq));
        query = query
            .filter(entries::at.ge(at))
            .filter(entries::at.gt(at).or(same));
    }
    if !end.is_all() {
        query = query.filter(
            entries::at
                .lt(end.at)
                .or(entries::at.eq(end.at).and(entries::seq.lt(end.seq))),
        );
    }
    Ok(query.load(conn)?)
}

/// The last copy of the books before a place of the ledger.
fn copy_before(
    conn: &mut Connection,
    site: &SiteId,
    end: Until,
) -> Result<Option<(NaiveDateTime, i64, Books)>, StorageError> {
    let mut query = copies::table
        .filter(copies::site.eq(site.as_str()))
        .order((copies::at.desc(), copies::seq.desc()))
        .select((copies::at, copies::seq, copies::document))
        .into_boxed();
    if !end.is_all() {
        query = query.filter(
            copies::at
                .lt(end.at)
                .or(copies::at.eq(end.at).and(copies::seq.lt(end.seq))),
        );
    }
    let found: Option<(NaiveDateTime, i64, String)> = query.first(conn).optional()?;
    let Some((at, seq, text)) = found else {
        return Ok(None);
    };
    let row = Row {
        table: "stock_books",
        key: &seq,
    };
    Ok(Some((at, seq, row.document(&text)?)))
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
