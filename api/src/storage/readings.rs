//! Readings in the database. They are added and read, never changed.

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::plan::WorkId;
use scheduler::scenario::SiteId;
use serde::de::DeserializeOwned;
use uuid::Uuid;

use super::row::{self, Row};
use super::schema::readings;
use super::{Connection, StorageError};
use crate::domain::plans::PlanId;
use crate::domain::readings::{Reading, ReadingId};
use crate::domain::time;

#[derive(Queryable, Selectable, Insertable)]
#[diesel(table_name = readings)]
struct Line {
    id: String,
    site: String,
    plan: String,
    item: String,
    kind: String,
    value: f64,
    unit: String,
    at: NaiveDateTime,
    told_by: Option<String>,
    subject: Option<String>,
    note: Option<String>,
    recorded_at: NaiveDateTime,
}

/// Logs a reading.
pub(crate) fn append(
    conn: &mut Connection,
    site: &SiteId,
    reading: &Reading,
) -> Result<(), StorageError> {
    let text = |what: Option<&str>| what.map(str::to_owned);
    diesel::insert_into(readings::table)
        .values(Line {
            id: reading.id.to_string(),
            site: site.as_str().to_owned(),
            plan: reading.plan.to_string(),
            item: reading.item.as_str().to_owned(),
            kind: reading.kind.into_str().to_owned(),
            value: reading.value,
            unit: reading.unit.name().to_owned(),
            at: row::stored(time::kept(reading.at)),
            told_by: text(reading.by.as_ref().map(|by| by.as_str())),
            subject: text(reading.subject.as_ref().map(|s| s.as_str())),
            note: text(reading.note.as_ref().map(|note| note.as_str())),
            recorded_at: row::stored(time::now()),
        })
        .execute(conn)?;
    Ok(())
}

/// The readings logged against one item, in order of time.
pub(crate) fn of_item(
    conn: &mut Connection,
    plan: PlanId,
    item: &WorkId,
    zone: Tz,
) -> Result<Vec<Reading>, StorageError> {
    let rows: Vec<Line> = readings::table
        .filter(readings::plan.eq(plan.to_string()))
        .filter(readings::item.eq(item.as_str()))
        .order((readings::at, readings::id))
        .select(Line::as_select())
        .load(conn)?;
    rows.into_iter().map(|line| line.checked(zone)).collect()
}

/// A site's readings in the order of recording, after one of them.
pub(crate) fn of_site(
    conn: &mut Connection,
    site: &SiteId,
    after: Option<ReadingId>,
    limit: i64,
    zone: Tz,
) -> Result<Vec<Reading>, StorageError> {
    let mut query = readings::table
        .filter(readings::site.eq(site.as_str()))
        .order(readings::id)
        .limit(limit)
        .select(Line::as_select())
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(readings::id.gt(after.to_string()));
    }
    let rows: Vec<Line> = query.load(conn)?;
    rows.into_iter().map(|line| line.checked(zone)).collect()
}

/// A site's latest readings, in the order of recording.
pub(crate) fn latest(
    conn: &mut Connection,
    site: &SiteId,
    limit: i64,
    zone: Tz,
) -> Result<Vec<Reading>, StorageError> {
    let mut rows: Vec<Line> = readings::table
        .filter(readings::site.eq(site.as_str()))
        .order(readings::id.desc())
        .limit(limit)
        .select(Line::as_select())
        .load(conn)?;
    rows.reverse();
    rows.into_iter().map(|line| line.checked(zone)).collect()
}

impl Line {
    fn checked(self, zone: Tz) -> Result<Reading, StorageError> {
        let row = Row {
            table: "readings",
            key: &self.id,
        };
        Ok(Reading {
            id: ReadingId(Uuid::parse_str(&self.id).map_err(|error| row.bad(error))?),
            plan: PlanId::parse(&self.plan).map_err(|error| row.bad(error))?,
            item: row.item(&self.item)?,
            kind: named(row, &self.kind)?,
            value: self.value,
            unit: named(row, &self.unit)?,
            at: row::local(self.at, zone),
            by: self.told_by.map(|by| row.value(by)).transpose()?,
            subject: self.subject.map(|text| row.value(text)).transpose()?,
            note: self.note.map(|note| row.value(note)).transpose()?,
        })
    }
}

/// A variant by its name.
fn named<T: DeserializeOwned>(row: Row<'_>, name: &str) -> Result<T, StorageError> {
    serde_json::from_value(name.into()).map_err(|error| row.bad(error))
}
