//! Lines of demand in the database.

use chrono::{DateTime, FixedOffset, NaiveDateTime, Utc};
use chrono_tz::Tz;
use diesel::dsl::min;
use diesel::prelude::*;
use scheduler::scenario::{Demand, DemandId, DemandKind, Priority, SiteId};

use super::row::{self, Row};
use super::schema::demand;
use super::{Connection, StorageError, events};
use crate::domain::demand::Range;
use crate::domain::events::{EventData, EventKind};
use crate::domain::time;

#[derive(Queryable, Insertable, AsChangeset)]
#[diesel(table_name = demand, treat_none_as_null = true)]
struct Line {
    site: String,
    id: String,
    product: String,
    due: NaiveDateTime,
    litres: f64,
    priority: i32,
    kind: String,
    note: Option<String>,
    changed_at: NaiveDateTime,
}

/// A site's lines in a range, by service and id.
pub(crate) fn list(
    conn: &mut Connection,
    site: &SiteId,
    range: Range,
    zone: Tz,
) -> Result<Vec<Demand>, StorageError> {
    page(conn, site, range, None, i64::MAX, zone)
}

/// The same; some of those after a line.
pub(crate) fn page(
    conn: &mut Connection,
    site: &SiteId,
    range: Range,
    after: Option<&Demand>,
    limit: i64,
    zone: Tz,
) -> Result<Vec<Demand>, StorageError> {
    let mut query = demand::table
        .filter(demand::site.eq(site.as_str()))
        .into_boxed();
    if let Some(line) = after {
        let due = row::stored(time::kept(line.due));
        let same = demand::due.eq(due).and(demand::id.gt(line.id.as_str()));
        query = query
            .filter(demand::due.ge(due))
            .filter(demand::due.gt(due).or(same));
    }
    if let Some(from) = range.from {
        query = query.filter(demand::due.ge(row::stored(time::kept(from))));
    }
    if let Some(to) = range.to {
        query = query.filter(demand::due.lt(row::stored(time::kept(to))));
    }
    let rows: Vec<Line> = query
        .order((demand::due, demand::id))
        .limit(limit)
        .load(conn)?;
    rows.into_iter().map(|line| line.checked(zone)).collect()
}

/// When something is wanted first, from an instant on.
pub(crate) fn first_due(
    conn: &mut Connection,
    site: &SiteId,
    from: DateTime<Utc>,
    zone: Tz,
) -> Result<Option<DateTime<FixedOffset>>, StorageError> {
    let first: Option<NaiveDateTime> = demand::table
        .filter(demand::site.eq(site.as_str()))
        .filter(demand::due.ge(row::stored(from)))
        .select(min(demand::due))
        .first(conn)?;
    Ok(first.map(|due| row::local(due, zone)))
}

/// A line, if there is one with that id.
pub(crate) fn find(
    conn: &mut Connection,
    site: &SiteId,
    id: &DemandId,
    zone: Tz,
) -> Result<Option<Demand>, StorageError> {
    let found: Option<Line> = demand::table
        .find((site.as_str(), id.as_str()))
        .first(conn)
        .optional()?;
    found.map(|line| line.checked(zone)).transpose()
}

/// How many of these lines are there already, by their ids.
pub(crate) fn known(
    conn: &mut Connection,
    site: &SiteId,
    lines: &[Demand],
) -> Result<usize, StorageError> {
    let mut known = 0;
    // A query takes so many values at the most.
    for part in lines.chunks(500) {
        let ids: Vec<&str> = part.iter().map(|line| line.id.as_str()).collect();
        let found: i64 = demand::table
            .filter(demand::site.eq(site.as_str()))
            .filter(demand::id.eq_any(ids))
            .count()
            .get_result(conn)?;
        known += usize::try_from(found).unwrap_or(0);
    }
    Ok(known)
}

/// Adds a line or replaces the one with its id; true if there was none.
pub(crate) fn upsert(
    conn: &mut Connection,
    site: &SiteId,
    line: &Demand,
) -> Result<bool, StorageError> {
    let new = put(conn, site, line)?;
    tell(conn, site, vec![line.id.clone()], Vec::new())?;
    Ok(new)
}

fn put(conn: &mut Connection, site: &SiteId, line: &Demand) -> Result<bool, StorageError> {
    let row = Line::of(site, line);
    let replaced = diesel::update(demand::table.find((site.as_str(), line.id.as_str())))
        .set(&row)
        .execute(conn)?;
    if replaced == 0 {
        diesel::insert_into(demand::table)
            .values(&row)
            .execute(conn)?;
    }
    Ok(replaced == 0)
}

/// Takes a line away; false if there was none.
pub(crate) fn delete(
    conn: &mut Connection,
    site: &SiteId,
    id: &DemandId,
) -> Result<bool, StorageError> {
    let gone = diesel::delete(demand::table.find((site.as_str(), id.as_str()))).execute(conn)?;
    if gone == 1 {
        tell(conn, site, Vec::new(), vec![id.clone()])?;
    }
    Ok(gone == 1)
}

/// Replaces everything in a range. A line that stood outside it moves in.
pub(crate) fn replace(
    conn: &mut Connection,
    site: &SiteId,
    range: Range,
    lines: &[Demand],
) -> Result<(), StorageError> {
    let of_site = demand::table.filter(demand::site.eq(site.as_str()));
    let mut gone: Vec<DemandId> = Vec::new();
    if let (Some(from), Some(to)) = (range.from, range.to) {
        let from = row::stored(time::kept(from));
        let to = row::stored(time::kept(to));
        let there: Vec<String> = of_site
            .filter(demand::due.ge(from))
            .filter(demand::due.lt(to))
            .order((demand::due, demand::id))
            .select(demand::id)
            .load(conn)?;
        for id in there {
            let row = Row {
                table: "demand",
                key: &id,
            };
            gone.push(row.value(id.clone())?);
        }
        diesel::delete(
            of_site
                .filter(demand::due.ge(from))
                .filter(demand::due.lt(to)),
        )
        .execute(conn)?;
    }
    for line in lines {
        put(conn, site, line)?;
    }
    let put: Vec<DemandId> = lines.iter().map(|line| line.id.clone()).collect();
    gone.retain(|id| !put.contains(id));
    tell(conn, site, put, gone)
}

fn tell(
    conn: &mut Connection,
    site: &SiteId,
    put: Vec<DemandId>,
    gone: Vec<DemandId>,
) -> Result<(), StorageError> {
    if put.is_empty() && gone.is_empty() {
        return Ok(());
    }
    let data = EventData {
        demand: put,
        demand_gone: gone,
        ..EventData::default()
    };
    events::append(conn, site, EventKind::DemandChanged, &data)?;
    Ok(())
}

impl Line {
    fn of(site: &SiteId, line: &Demand) -> Self {
        Self {
            site: site.as_str().to_owned(),
            id: line.id.as_str().to_owned(),
            product: line.product.as_str().to_owned(),
            due: row::stored(time::kept(line.due)),
            litres: line.litres.litres(),
            priority: i32::from(line.priority.number()),
            kind: match line.kind {
                DemandKind::Forecast => "forecast".to_owned(),
                DemandKind::Booking => "booking".to_owned(),
            },
            note: line.note.clone(),
            changed_at: row::stored(time::now()),
        }
    }

    fn checked(self, zone: Tz) -> Result<Demand, StorageError> {
        let row = Row {
            table: "demand",
            key: &self.id,
        };
        let priority: u8 = row.value(self.priority)?;
        Ok(Demand {
            product: row.value(self.product)?,
            due: row::local(self.due, zone),
            litres: row.value(self.litres)?,
            priority: row.value::<Priority, _>(priority)?,
            kind: match self.kind.as_str() {
                "forecast" => DemandKind::Forecast,
                "booking" => DemandKind::Booking,
                other => return Err(row.bad(format!("unknown kind {other}"))),
            },
            note: self.note,
            id: row.value(self.id.clone())?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::tests::fresh;
    use super::super::sites;
    use super::*;

    #[test]
    fn replacing_a_range_leaves_the_rest() {
        let (_dir, store) = fresh();
        let scenario = scheduler::sample::fixed();
        let site = scenario.site.id.clone();
        let zone = scenario.site.time_zone;
        let saturday = Range {
            from: Some(DateTimeOf::parse_from_rfc3339("2026-06-06T00:00:00+01:00").unwrap()),
            to: Some(DateTimeOf::parse_from_rfc3339("2026-06-07T00:00:00+01:00").unwrap()),
        };
        let left: Vec<Demand> = store
            .write_now(|conn| -> Result<_, StorageError> {
                sites::insert(conn, &scenario.site)?;
                replace(conn, &site, Range::ALWAYS, &scenario.demand)?;
                replace(conn, &site, saturday, &[])?;
                list(conn, &site, Range::ALWAYS, zone)
            })
            .unwrap();
        let mut expected: Vec<Demand> = scenario
            .demand
            .into_iter()
            .filter(|line| !saturday.holds(line.due))
            .collect();
        expected.sort_by_key(|line| (line.due, line.id.clone()));
        assert_eq!(left, expected);
    }

    type DateTimeOf = chrono::DateTime<chrono::FixedOffset>;
}
