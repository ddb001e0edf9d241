//! What became of work items, in the database.

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::plan::WorkId;

use super::row::{self, Row};
use super::schema::work_states as states;
use super::{Connection, StorageError};
use crate::domain::plans::PlanId;
use crate::domain::time;
use crate::domain::work::{Records, WorkRecord};

#[derive(Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = states, treat_none_as_null = true)]
struct Line {
    plan: String,
    item: String,
    state: String,
    started_at: Option<NaiveDateTime>,
    ended_at: Option<NaiveDateTime>,
    out_until: Option<NaiveDateTime>,
    told_by: Option<String>,
    note: Option<String>,
    recorded_at: NaiveDateTime,
    kegs: Option<String>,
}

/// What was recorded about the items of a plan; those that are planned still are left out.
pub(crate) fn of_plan(
    conn: &mut Connection,
    plan: PlanId,
    zone: Tz,
) -> Result<Records, StorageError> {
    let rows: Vec<Line> = states::table
        .filter(states::plan.eq(plan.to_string()))
        .select(Line::as_select())
        .load(conn)?;
    rows.into_iter().map(|line| line.checked(zone)).collect()
}

/// What was recorded about one item.
pub(crate) fn find(
    conn: &mut Connection,
    plan: PlanId,
    item: &WorkId,
    zone: Tz,
) -> Result<Option<WorkRecord>, StorageError> {
    let found: Option<Line> = states::table
        .find((plan.to_string(), item.as_str()))
        .select(Line::as_select())
        .first(conn)
        .optional()?;
    Ok(found
        .map(|line| line.checked(zone))
        .transpose()?
        .map(|(_, record)| record))
}

/// Records what became of an item.
pub(crate) fn put(
    conn: &mut Connection,
    plan: PlanId,
    item: &WorkId,
    record: &WorkRecord,
) -> Result<(), StorageError> {
    let kept = |at: Option<chrono::DateTime<chrono::FixedOffset>>| {
        at.map(|at| row::stored(time::kept(at)))
    };
    let line = Line {
        plan: plan.to_string(),
        item: item.as_str().to_owned(),
        state: record.state.into_str().to_owned(),
        started_at: kept(record.started_at),
        ended_at: kept(record.ended_at),
        out_until: kept(record.out_until),
        told_by: record.by.as_ref().map(|by| by.as_str().to_owned()),
        note: record.note.as_ref().map(|note| note.as_str().to_owned()),
        recorded_at: row::stored(time::now()),
        kegs: match record.named_kegs.as_slice() {
            [] => None,
            kegs => Some(row::text("named kegs", &kegs)?),
        },
    };
    let replaced = diesel::update(states::table.find((&line.plan, &line.item)))
        .set(&line)
        .execute(conn)?;
    if replaced == 0 {
        diesel::insert_into(states::table)
            .values(&line)
            .execute(conn)?;
    }
    Ok(())
}

impl Line {
    fn checked(self, zone: Tz) -> Result<(WorkId, WorkRecord), StorageError> {
        let row = Row {
            table: "work_states",
            key: &self.item,
        };
        let local = |at: Option<NaiveDateTime>| at.map(|at| row::local(at, zone));
        let record = WorkRecord {
            state: row.word("state", &self.state)?,
            started_at: local(self.started_at),
            ended_at: local(self.ended_at),
            out_until: local(self.out_until),
            by: self.told_by.map(|by| row.value(by)).transpose()?,
            note: self.note.map(|note| row.value(note)).transpose()?,
            named_kegs: self
                .kegs
                .map(|kegs| row.document(&kegs))
                .transpose()?
                .unwrap_or_default(),
        };
        Ok((row.item(&self.item)?, record))
    }
}
