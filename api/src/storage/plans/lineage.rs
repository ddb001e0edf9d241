//! Plans that were replanned from each other, in order of time.

use super::super::{Connection, publications, work};
use super::{Made, children, made};
use crate::domain::Refusal;
use crate::domain::plans::PlanId;
use crate::domain::replanning::Recorded;
use crate::domain::trace::Generation;
use crate::domain::work::Records;

/// The longest line that is followed.
const LONGEST: usize = 400;

/// The plans a plan was replanned from, itself, and those that were published in its place.
pub(crate) fn generations(conn: &mut Connection, id: PlanId) -> Result<Vec<Generation>, Refusal> {
    let mut line = ancestors(conn, id)?;
    let mut last = id;
    while line.len() < LONGEST {
        let mut next = None;
        for child in children(conn, last)? {
            if publications::was_published(conn, child)? {
                next = Some(child);
                break;
            }
        }
        let Some(child) = next else {
            break;
        };
        let made = made(conn, child)?;
        line.push(generation(conn, child, made)?);
        last = child;
    }
    Ok(line)
}

/// The plans a plan was replanned from, first to last, and itself.
fn ancestors(conn: &mut Connection, id: PlanId) -> Result<Vec<Generation>, Refusal> {
    let mut line = Vec::new();
    let mut next = Some(id);
    while let Some(id) = next.filter(|_| line.len() < LONGEST) {
        let made = made(conn, id)?;
        next = made.summary.replans;
        line.push(generation(conn, id, made)?);
    }
    line.reverse();
    Ok(line)
}

fn generation(conn: &mut Connection, id: PlanId, made: Made) -> Result<Generation, Refusal> {
    Ok(Generation {
        id,
        records: work::of_plan(conn, id, made.site.time_zone)?,
        plan: made.plan,
        scenario: made.scenario,
    })
}

/// What was recorded about a plan's work, and about boils that were under way when it began.
pub(crate) fn recorded(
    conn: &mut Connection,
    id: PlanId,
    made: &Made,
) -> Result<Recorded, Refusal> {
    let own = work::of_plan(conn, id, made.site.time_zone)?;
    let mut under_way = Records::new();
    let boils = &made.scenario.stock.under_way.boils;
    let mut next = made.summary.replans.filter(|_| !boils.is_empty());
    let mut steps = 0;
    while let Some(before) = next.filter(|_| steps < LONGEST) {
        let records = work::of_plan(conn, before, made.site.time_zone)?;
        for boil in boils {
            if let Some(record) = records.get(&boil.item) {
                under_way
                    .entry(boil.item.clone())
                    .or_insert_with(|| record.clone());
            }
        }
        next = super::load(conn, before)?.summary.replans;
        steps += 1;
    }
    Ok(Recorded { own, under_way })
}
