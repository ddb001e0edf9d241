//! What is told about work, recorded: the item's state, its readings, and events of both.

use chrono::{DateTime, FixedOffset};
use scheduler::check::Fault;
use scheduler::plan::{WorkId, WorkItem};
use uuid::Uuid;

use crate::domain::codes::Codes;
use crate::domain::events::{EventData, EventKind};
use crate::domain::readings::{Reading, ReadingId, ReadingReport};
use crate::domain::stock::{self, Booking, Record};
use crate::domain::work::{
    Deed, FloorItem, FloorItemReadings, ItemPath, RecordedWork, WorkRecord, WorkReport, WorkState,
};
use crate::domain::{Refusal, time};
use crate::storage::plans::Made;
use crate::storage::stock::{self as books_of, Until};
use crate::storage::{Connection, codes, events, plans, publications, readings, work};

/// Records what was told about an item, and its readings.
pub(crate) fn record(
    conn: &mut Connection,
    path: &ItemPath,
    told: &RecordedWork,
) -> Result<FloorItemReadings, Refusal> {
    let made = plans::made(conn, path.plan)?;
    let floor = floor_item(conn, &made, path)?;
    told.check(&floor.item, &codes_of(conn, &made)?, time::now())?;
    let now = local_now(&made);
    let after = told.apply(&floor.item, &floor.record, now)?;
    if after != floor.record {
        let current = admit(conn, &made, &floor.record)?;
        where_they_are(conn, &made, &floor.item, &after)?;
        work::put(conn, path.plan, &path.item, &after)?;
        if current || !taken_over(conn, &made, &path.item, &floor.record)? {
            book(conn, &made, &floor.item, &after)?;
        }
        let data = EventData {
            plan: Some(path.plan),
            item: Some(path.item.clone()),
            at: after.since(),
            by: told.by.clone(),
            note: told.note.clone(),
            until: after.out_until,
            named_kegs: after.named_kegs.clone(),
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
    let told = RecordedWork::of(
        Deed::Start,
        WorkReport {
            readings,
            ..WorkReport::default()
        },
    );
    let made = plans::made(conn, path.plan)?;
    let floor = floor_item(conn, &made, path)?;
    told.check(&floor.item, &codes_of(conn, &made)?, time::now())?;
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

fn codes_of(conn: &mut Connection, made: &Made) -> Result<Codes, Refusal> {
    let found = codes::find(conn, &made.site.id)?;
    Ok(found.map(|found| found.document).unwrap_or_default())
}

/// Refuses kegs that are named and, by the books, cannot be among those an item is about.
fn where_they_are(
    conn: &mut Connection,
    made: &Made,
    item: &WorkItem,
    record: &WorkRecord,
) -> Result<(), Refusal> {
    let Some(moved) = stock::moved(item, false).filter(|_| !record.named_kegs.is_empty()) else {
        return Ok(());
    };
    let zone = made.site.time_zone;
    let Some(books) = books_of::books(conn, &made.site.id, zone, Until::ALL)? else {
        return Ok(());
    };
    let mut faults = Vec::new();
    for (n, grai) in record.named_kegs.iter().enumerate() {
        let Some(keg) = books.keg(grai) else {
            continue;
        };
        let other_type = keg.keg_type != moved.keg_type;
        if other_type || (keg.certain && keg.place != moved.from) {
            faults.push(Fault {
                field: format!("named_kegs[{n}]"),
                what: format!(
                    "by the books {} is of type {} and {} since entry {}; {} takes kegs of type {} \
                     that are {}",
                    grai.as_str(),
                    keg.keg_type,
                    keg.place,
                    keg.entry,
                    item.id,
                    moved.keg_type,
                    moved.from
                ),
            });
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Invalid(faults))
    }
}

/// Whether the plan the floor works by now has taken over an item with what was recorded of it:
/// then it is booked where it ends there.
fn taken_over(
    conn: &mut Connection,
    made: &Made,
    item: &WorkId,
    before: &WorkRecord,
) -> Result<bool, Refusal> {
    let zone = made.site.time_zone;
    let Some(current) = publications::current(conn, &made.site.id, zone)? else {
        return Ok(false);
    };
    let known = work::find(conn, current.plan, item, zone)?;
    Ok(known.is_some_and(|known| known.started_at == before.started_at))
}

/// Books what an item that is over did to the stock, once.
fn book(
    conn: &mut Connection,
    made: &Made,
    item: &WorkItem,
    record: &WorkRecord,
) -> Result<(), Refusal> {
    let booking = Booking {
        id: made.summary.id,
        plan: &made.plan,
        scenario: &made.scenario,
    };
    if let Some(done) = booking.of(item, record)? {
        let entry = Record::Work(Box::new(done));
        books_of::book(conn, &made.site.id, &entry, made.site.time_zone)?;
    }
    Ok(())
}

/// Work is recorded for the plan the floor works by, and where it was begun by one before. Tells
/// whether it is the former.
fn admit(conn: &mut Connection, made: &Made, before: &WorkRecord) -> Result<bool, Refusal> {
    let plan = made.summary.id;
    let current = publications::current(conn, &made.site.id, made.site.time_zone)?;
    if current.is_some_and(|publication| publication.plan == plan) {
        return Ok(true);
    }
    let begun = before.state != WorkState::Planned;
    if begun && publications::was_published(conn, plan)? {
        return Ok(false);
    }
    Err(Refusal::NotPublished(plan))
}

/// Logs the readings of a report that are not logged already.
fn log(
    conn: &mut Connection,
    made: &Made,
    path: &ItemPath,
    told: &RecordedWork,
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
