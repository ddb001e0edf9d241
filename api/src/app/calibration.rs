//! Calibration: readings in, fitted numbers out, accepted into the setup by a person.

use std::collections::BTreeMap;

use scheduler::plan::WorkId;
use scheduler::scenario::{Site, SiteId};

use crate::domain::calibration::{Batch, Calibration, CalibrationAcceptance, fitted, put};
use crate::domain::events::{EventData, EventKind};
use crate::domain::plans::PlanId;
use crate::domain::readings::Reading;
use crate::domain::setup::{SetupDocument, check};
use crate::domain::work::WorkRecord;
use crate::domain::{Expected, Refusal, Revised, Revision};
use crate::storage::{Connection, events, plans, readings, setup, sites, work};

/// The latest readings that are looked at.
const MOST_READINGS: i64 = 5000;

/// What a site's readings say about numbers in its setup.
pub(crate) fn read(conn: &mut Connection, site: &SiteId) -> Result<Calibration, Refusal> {
    Ok(look(conn, site)?.0)
}

/// Accepts fitted numbers into the setup, as a new revision, and says what the readings say then.
pub(crate) fn accept(
    conn: &mut Connection,
    site: &SiteId,
    expected: &Expected,
    acceptance: &CalibrationAcceptance,
) -> Result<Calibration, Refusal> {
    let (found, latest) = look(conn, site)?;
    let document = accepted(&found, latest.document, acceptance)?;
    check(&sites::load(conn, site)?, &document)?;
    expected.admit(Some(latest.revision))?;
    store(conn, site, latest.revision.next(), &document, acceptance)?;
    read(conn, site)
}

/// The setup with the numbers that are accepted put in.
fn accepted(
    found: &Calibration,
    mut document: SetupDocument,
    acceptance: &CalibrationAcceptance,
) -> Result<SetupDocument, Refusal> {
    if acceptance.parameters.is_empty() {
        return Err(Refusal::field(
            "parameters",
            "0 found; 1 to 100 are allowed",
        ));
    }
    for (n, name) in acceptance.parameters.iter().enumerate() {
        let fit = found.parameters.iter().find(|fit| fit.parameter == *name);
        let fit = fit.ok_or_else(|| {
            let known: Vec<&str> = found
                .parameters
                .iter()
                .map(|f| f.parameter.as_str())
                .collect();
            let what = format!("\"{name}\" found; fitted are: {}", known.join(", "));
            Refusal::field(format!("parameters[{n}]"), what)
        })?;
        put(&mut document, name, fit.fitted)?;
    }
    Ok(document)
}

/// Stores an accepted setup, and tells of it.
fn store(
    conn: &mut Connection,
    site: &SiteId,
    revision: Revision,
    document: &SetupDocument,
    acceptance: &CalibrationAcceptance,
) -> Result<(), Refusal> {
    setup::insert(conn, site, revision, document)?;
    let data = EventData {
        revision: Some(revision),
        by: Some(acceptance.by.clone()),
        note: acceptance.note.clone(),
        ..EventData::default()
    };
    events::append(conn, site, EventKind::CalibrationAccepted, &data)?;
    Ok(())
}

fn look(
    conn: &mut Connection,
    id: &SiteId,
) -> Result<(Calibration, Revised<SetupDocument>), Refusal> {
    let site = sites::load(conn, id)?;
    let latest = setup::load(conn, id)?;
    let batches = batches(conn, &site)?;
    let found = Calibration {
        setup_revision: latest.revision,
        parameters: fitted(&site, &latest.document, &batches),
    };
    Ok((found, latest))
}

/// The site's work that has readings, with them.
fn batches(conn: &mut Connection, site: &Site) -> Result<Vec<Batch>, Refusal> {
    let zone = site.time_zone;
    let all = readings::latest(conn, &site.id, MOST_READINGS, zone)?;
    let mut by_plan: BTreeMap<PlanId, BTreeMap<WorkId, Vec<Reading>>> = BTreeMap::new();
    for reading in all {
        let items = by_plan.entry(reading.plan).or_default();
        items.entry(reading.item.clone()).or_default().push(reading);
    }
    let mut batches = Vec::new();
    for (plan, mut items) in by_plan {
        let made = plans::made(conn, plan)?;
        let records = work::of_plan(conn, plan, zone)?;
        for item in made.plan.work {
            let Some(mut readings) = items.remove(&item.id) else {
                continue;
            };
            readings.sort_by_key(|reading| reading.at);
            batches.push(Batch {
                record: records
                    .get(&item.id)
                    .cloned()
                    .unwrap_or(WorkRecord::PLANNED),
                item,
                readings,
            });
        }
    }
    Ok(batches)
}
