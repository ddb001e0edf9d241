//! What is told about work, recorded: the item's state, its readings, and events of both.

use chrono::{DateTime, FixedOffset};
use uuid::Uuid;

use super::floor::ItemPath;
use crate::domain::events::{EventData, EventKind};
use crate::domain::readings::{Reading, ReadingId, ReadingReport};
use crate::domain::work::{
    Deed, FloorItem, FloorItemReadings, Told, WorkRecord, WorkReport, WorkState,
};
use crate::domain::{Refusal, time};
use crate::storage::plans::Made;
use crate::storage::{Connection, events, plans, publications, readings, work};

/// Records what was told about an item, and its readings.
pub(crate) fn record(
    conn: &mut Connection,
    path: &ItemPath,
    told: &Told,
) -> Result<FloorItemReadings, Refusal> {
    let made = plans::made(conn, path.plan)?;
    let floor = floor_item(conn, &made, path)?;
    told.check(&floor.item, time::now())?;
    let now = local_now(&made);
    let after = told.apply(&floor.item, &floor.record, now)?;
    if after != floor.record {
        admit(conn, &made, &floor.record)?;
        work::put(conn, path.plan, &path.item, &after)?;
        let data = EventData {
            plan: Some(path.plan),
            item: Some(path.item.clone()),
            at: after.since(),
            by: told.by.clone(),
            note: told.note.clone(),
            until: after.out_until,
            ..EventData::default()
        };
        events::append(conn, &made.site.id, event_of(after.state), &data)?;
    }
    log(conn, &made, path, told, after.since().unwrap_or(now))?;
    shown(conn, &made, path)
}

/// Logs readings against an item, whatever its state.
pub(crate) fn log_only(
    conn: &mut Connection,
    path: &ItemPath,
    readings: Vec<ReadingReport>,
) -> Result<FloorItemReadings, Refusal> {
    if readings.is_empty() {
        let what = "0 found; 1 to 100 are allowed";
        return Err(Refusal::field("readings", what));
    }
    // The deed of a report without one is not looked at.
    let told = Told::of(
        Deed::Start,
        WorkReport {
            readings,
            ..WorkReport::default()
        },
    );
    let made = plans::made(conn, path.plan)?;
    let floor = floor_item(conn, &made, path)?;
    told.check(&floor.item, time::now())?;
    admit(conn, &made, &floor.record)?;
    log(conn, &made, path, &told, local_now(&made))?;
    shown(conn, &made, path)
}

fn event_of(state: WorkState) -> EventKind {
    match state {
        WorkState::Planned | WorkState::Started => EventKind::WorkStarted,
        WorkState::Finished => EventKind::WorkFinished,
        WorkState::Failed => EventKind::WorkFailed,
        WorkState::Skipped => EventKind::WorkSkipped,
    }
}

/// Work is recorded for the plan the floor works by, and where it was begun by one before.
fn admit(conn: &mut Connection, made: &Made, before: &WorkRecord) -> Result<(), Refusal> {
    let plan = made.summary.id;
    let current = publications::current(conn, &made.site.id, made.site.time_zone)?;
    if current.is_some_and(|publication| publication.plan == plan) {
        return Ok(());
    }
    let begun = before.state != WorkState::Planned;
    if begun && publications::was_published(conn, plan)? {
        return Ok(());
    }
    Err(Refusal::NotPublished(plan))
}

/// Logs the readings of a report that are not logged already.
fn log(
    conn: &mut Connection,
    made: &Made,
    path: &ItemPath,
    told: &Told,
    usual: DateTime<FixedOffset>,
) -> Result<(), Refusal> {
    let mut known = readings::of_item(conn, path.plan, &path.item, made.site.time_zone)?;
    for report in &told.readings {
        let at = time::kept(report.at.unwrap_or(usual));
        let reading = Reading {
            id: ReadingId(Uuid::now_v7()),
            plan: path.plan,
            item: path.item.clone(),
            kind: report.kind,
            value: report.value,
            unit: report.unit,
            at: at.with_timezone(&made.site.time_zone).fixed_offset(),
            by: report.by.clone().or_else(|| told.by.clone()),
            subject: report.subject.clone(),
            note: report.note.clone(),
        };
        if known.iter().any(|other| other.says_the_same(&reading)) {
            continue;
        }
        readings::append(conn, &made.site.id, &reading)?;
        let data = EventData {
            plan: Some(path.plan),
            item: Some(path.item.clone()),
            at: Some(reading.at),
            by: reading.by.clone(),
            reading: Some(reading.clone()),
            ..EventData::default()
        };
        events::append(conn, &made.site.id, EventKind::ReadingLogged, &data)?;
        known.push(reading);
    }
    Ok(())
}

fn floor_item(conn: &mut Connection, made: &Made, path: &ItemPath) -> Result<FloorItem, Refusal> {
    let found = made.plan.work.iter().find(|item| item.id == path.item);
    let item = found.ok_or_else(|| Refusal::UnknownWork {
        plan: path.plan,
        item: path.item.clone(),
    })?;
    let record = work::find(conn, path.plan, &path.item, made.site.time_zone)?;
    Ok(FloorItem {
        plan: path.plan,
        item: item.clone(),
        record: record.unwrap_or(WorkRecord::PLANNED),
    })
}

pub(crate) fn shown(
    conn: &mut Connection,
    made: &Made,
    path: &ItemPath,
) -> Result<FloorItemReadings, Refusal> {
    Ok(FloorItemReadings {
        item: floor_item(conn, made, path)?,
        readings: readings::of_item(conn, path.plan, &path.item, made.site.time_zone)?,
    })
}

fn local_now(made: &Made) -> DateTime<FixedOffset> {
    time::now()
        .with_timezone(&made.site.time_zone)
        .fixed_offset()
}
