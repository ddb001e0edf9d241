//! Events in the database. They are added in the transaction of the change they tell of.

use chrono::NaiveDateTime;
use diesel::prelude::*;
use scheduler::scenario::SiteId;

use super::row::{self, Row};
use super::schema::{event_counter, event_gaps, events};
use super::{Connection, StorageError};
use crate::domain::events::{Event, EventData, EventKind};
use crate::domain::{Refusal, time};

/// The one row of the counter.
const COUNTER: i64 = 1;

/// Which events are wanted.
#[derive(Debug, Clone, Default)]
pub(crate) struct Filter {
    /// Those after this one.
    pub(crate) after: i64,
    /// Those of this site; of all sites where none is named.
    pub(crate) site: Option<SiteId>,
    /// Those of these kinds; of all kinds where none is named.
    pub(crate) kinds: Vec<EventKind>,
}

#[derive(Queryable, Selectable)]
#[diesel(table_name = events)]
struct Line {
    seq: i64,
    site: String,
    kind: String,
    at: NaiveDateTime,
    document: String,
}

/// Adds an event and gives its number. The counter's row is held until the transaction is over,
/// so no later number can be seen before this one.
pub(crate) fn append(
    conn: &mut Connection,
    site: &SiteId,
    kind: EventKind,
    data: &EventData,
) -> Result<i64, StorageError> {
    diesel::update(event_counter::table.find(COUNTER))
        .set(event_counter::last.eq(event_counter::last + 1))
        .execute(conn)?;
    let seq = last(conn)?;
    diesel::insert_into(events::table)
        .values((
            events::seq.eq(seq),
            events::site.eq(site.as_str()),
            events::kind.eq(kind.as_str()),
            events::at.eq(row::stored(time::now())),
            events::document.eq(row::text("an event", data)?),
        ))
        .execute(conn)?;
    Ok(seq)
}

/// The number of the last event; 0 before the first.
pub(crate) fn last(conn: &mut Connection) -> Result<i64, StorageError> {
    let seq = event_counter::table
        .find(COUNTER)
        .select(event_counter::last)
        .first(conn)?;
    Ok(seq)
}

/// The number of the last event there is, from which a reader goes on; 0 before the first. Numbers
/// that were undone may have been given out after it.
pub(crate) fn latest(conn: &mut Connection) -> Result<i64, StorageError> {
    Ok(mark(conn)?.map_or(0, |mark| mark.seq))
}

/// Refuses to go on from an event if others after it are gone: undone when a copy was put back, or
/// thrown away because they were old. 0 asks for all there are.
pub(crate) fn follows(conn: &mut Connection, after: i64) -> Result<(), Refusal> {
    let lost: Option<i64> = event_gaps::table
        .filter(event_gaps::lost_after.lt(after))
        .filter(event_gaps::lost_until.ge(after))
        .order(event_gaps::lost_after)
        .select(event_gaps::lost_after)
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    if let Some(resume) = lost {
        let why = "not the ones you know: an earlier copy of the database was put back";
        return Err(Refusal::EventsGone { after, resume, why });
    }
    let pruned: i64 = event_counter::table
        .find(COUNTER)
        .select(event_counter::pruned_to)
        .first(conn)
        .map_err(StorageError::from)?;
    if after > 0 && after < pruned {
        let why = "older than events are kept here";
        return Err(Refusal::EventsGone {
            after,
            resume: pruned,
            why,
        });
    }
    Ok(())
}

/// The last event there is: as long as it is the last, nothing has happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Mark {
    seq: i64,
    /// A database that was restored counts on from an earlier number.
    at: NaiveDateTime,
}

/// The last event there is; none in a fresh database.
pub(crate) fn mark(conn: &mut Connection) -> Result<Option<Mark>, StorageError> {
    let found: Option<(i64, NaiveDateTime)> = events::table
        .order(events::seq.desc())
        .select((events::seq, events::at))
        .first(conn)
        .optional()?;
    Ok(found.map(|(seq, at)| Mark { seq, at }))
}

/// Events in the order in which they happened.
pub(crate) fn list(
    conn: &mut Connection,
    filter: &Filter,
    limit: i64,
) -> Result<Vec<Event>, StorageError> {
    let mut query = events::table
        .filter(events::seq.gt(filter.after))
        .order(events::seq)
        .limit(limit)
        .select(Line::as_select())
        .into_boxed();
    if let Some(site) = &filter.site {
        query = query.filter(events::site.eq(site.as_str()));
    }
    if !filter.kinds.is_empty() {
        let kinds: Vec<&str> = filter.kinds.iter().map(|kind| kind.as_str()).collect();
        query = query.filter(events::kind.eq_any(kinds));
    }
    let rows: Vec<Line> = query.load(conn)?;
    rows.into_iter().map(Line::checked).collect()
}

/// One event.
pub(crate) fn find(conn: &mut Connection, seq: i64) -> Result<Option<Event>, StorageError> {
    let found: Option<Line> = events::table
        .find(seq)
        .select(Line::as_select())
        .first(conn)
        .optional()?;
    found.map(Line::checked).transpose()
}

/// Whether anything of these kinds has happened at a site after an event.
pub(crate) fn any_since(
    conn: &mut Connection,
    site: &SiteId,
    kinds: &[EventKind],
    after: i64,
) -> Result<bool, StorageError> {
    let filter = Filter {
        after,
        site: Some(site.clone()),
        kinds: kinds.to_vec(),
    };
    Ok(!list(conn, &filter, 1)?.is_empty())
}

impl Line {
    fn checked(self) -> Result<Event, StorageError> {
        let row = Row {
            table: "events",
            key: &self.seq,
        };
        Ok(Event {
            seq: self.seq,
            kind: EventKind::parse(&self.kind)
                .ok_or_else(|| row.bad(format!("unknown kind {}", self.kind)))?,
            timestamp: self.at.and_utc(),
            site: row.value(self.site)?,
            data: row.document(&self.document)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::tests::fresh;
    use super::*;

    fn site(name: &str) -> SiteId {
        SiteId::parse(name).unwrap()
    }

    #[test]
    fn events_are_numbered_without_a_gap_and_found_by_site_and_kind() {
        let (_dir, store) = fresh();
        let all: Vec<Event> = store
            .write_now(|conn| -> Result<_, StorageError> {
                let data = EventData::default();
                append(conn, &site("one"), EventKind::SiteCreated, &data)?;
                append(conn, &site("two"), EventKind::SiteCreated, &data)?;
                append(conn, &site("one"), EventKind::SetupChanged, &data)?;
                list(conn, &Filter::default(), 10)
            })
            .unwrap();
        let numbers: Vec<i64> = all.iter().map(|event| event.seq).collect();
        assert_eq!(numbers, [1, 2, 3]);
        let of_one = Filter {
            after: 1,
            site: Some(site("one")),
            kinds: vec![EventKind::SetupChanged, EventKind::SiteChanged],
        };
        let found = store.read_now(|conn| list(conn, &of_one, 10)).unwrap();
        assert_eq!(found, all[2..]);
    }

    #[test]
    fn a_change_that_is_undone_leaves_no_event_and_no_gap() {
        let (_dir, store) = fresh();
        let data = EventData::default();
        let failed: Result<(), StorageError> = store.write_now(|conn| {
            append(conn, &site("one"), EventKind::SiteCreated, &data)?;
            Err(StorageError::Thread)
        });
        assert!(failed.is_err());
        let seq = store
            .write_now(|conn| append(conn, &site("one"), EventKind::SiteCreated, &data))
            .unwrap();
        assert_eq!(seq, 1);
    }
}
