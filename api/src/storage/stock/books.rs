//! What follows from the ledger: the books at any place of it.

use chrono::{DateTime, FixedOffset, NaiveDateTime};
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::scenario::SiteId;

use super::latest::Latest;
use super::{Connection, Entry, StorageError, copies, entries};
use crate::domain::stock::{Balance, Books, StockEntry};
use crate::domain::{Refusal, time};
use crate::storage::row::{self, Row};

/// A copy of the books is kept after this many entries.
const COPY_EVERY: usize = 25;

/// A place in the order of the ledger: what lies before it is looked at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Until {
    pub(super) at: NaiveDateTime,
    pub(super) seq: i64,
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
pub(super) fn followed(
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
        read(conn, site, zone, Until::ALL)?
    };
    let Some(mut after) = after else {
        Latest::of(entry).remember(site, None);
        return Ok(None);
    };
    if after.entries >= COPY_EVERY {
        copy(conn, site, &after)?;
        after.entries = 0;
    }
    Latest::of(entry).remember(site, Some(after.clone()));
    Ok(Some(after.books))
}

fn copy(conn: &mut Connection, site: &SiteId, folded: &Folded) -> Result<(), StorageError> {
    let (at, seq) = folded.last;
    diesel::insert_into(copies::table)
        .values((
            copies::site.eq(site.as_str()),
            copies::at.eq(at),
            copies::seq.eq(seq),
            copies::document.eq(row::text("books", &folded.books)?),
        ))
        .execute(conn)?;
    Ok(())
}

/// Books, and how they came about.
#[derive(Debug, Clone)]
pub(super) struct Folded {
    pub(super) books: Books,
    /// Entries since the copy it started from.
    entries: usize,
    /// The place of the last of them.
    last: (NaiveDateTime, i64),
}

/// The books at a place of the ledger, as they are remembered or read.
pub(super) fn folded(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
    end: Until,
) -> Result<Option<Folded>, StorageError> {
    if !end.is_all() {
        return read(conn, site, zone, end);
    }
    let Some(latest) = Latest::read(conn, site)? else {
        return Ok(None);
    };
    if let Some(known) = latest.books(site) {
        return Ok(known);
    }
    let found = read(conn, site, zone, end)?;
    latest.remember(site, found.clone());
    Ok(found)
}

fn read(
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
