//! Publication: which plan the floor works by, and what there is to do by it.

use scheduler::scenario::Site;

use crate::domain::Refusal;
use crate::domain::events::{EventData, EventKind};
use crate::domain::plans::PlanId;
use crate::domain::publications::{Publication, PublicationRequest};
use crate::domain::replanning::taken_over;
use crate::domain::work::{FloorItem, WorkRecord, WorkState};
use crate::storage::plans::Made;
use crate::storage::{Connection, events, plans, publications, work};

/// Publishes a plan in place of the one before.
pub(crate) fn publish(
    conn: &mut Connection,
    plan: PlanId,
    request: &PublicationRequest,
) -> Result<Publication, Refusal> {
    let made = plans::made(conn, plan)?;
    let zone = made.site.time_zone;
    let current = publications::current(conn, &made.site.id, zone)?;
    if let Some(current) = current.as_ref().filter(|current| current.plan == plan) {
        return Ok(current.clone());
    }
    let before = current.map(|current| current.plan);
    let expected = made.summary.replans.or(request.replaces);
    let two = made.summary.replans.is_some() && request.replaces.is_some();
    if expected.is_some() && expected != before || two && made.summary.replans != request.replaces {
        return Err(Refusal::OtherPublished { published: before });
    }
    take_over(conn, &made)?;
    publications::publish(conn, &made.site.id, plan, request.by.as_ref())?;
    let data = EventData {
        plan: Some(plan),
        replaces: before,
        by: request.by.clone(),
        ..EventData::default()
    };
    events::append(conn, &made.site.id, EventKind::PlanPublished, &data)?;
    let published = publications::current(conn, &made.site.id, zone)?;
    published.ok_or_else(|| Refusal::internal("a publication is not there"))
}

/// Takes over what was recorded about work that is in the new plan too.
fn take_over(conn: &mut Connection, made: &Made) -> Result<(), Refusal> {
    let (Some(before), Some(replanning)) = (made.summary.replans, &made.replanning) else {
        return Ok(());
    };
    let known = work::of_plan(conn, before, made.site.time_zone)?;
    for (item, record) in taken_over(&replanning.facts, &known, &made.plan)? {
        work::put(conn, made.summary.id, &item, &record)?;
    }
    Ok(())
}

/// The publication that holds at a site.
pub(crate) fn published(conn: &mut Connection, site: &Site) -> Result<Publication, Refusal> {
    let found = publications::current(conn, &site.id, site.time_zone)?;
    found.ok_or_else(|| Refusal::NothingPublished(site.id.clone()))
}

/// The published plan's work, after what was begun before it and is not over.
pub(crate) fn floor_of_site(
    conn: &mut Connection,
    site: &Site,
    published: &Publication,
) -> Result<Vec<FloorItem>, Refusal> {
    let mut work = begun_before(conn, site, published.number)?;
    work.extend(floor(conn, published.plan)?);
    Ok(work)
}

/// The items of a plan and what became of them.
pub(crate) fn floor(conn: &mut Connection, plan: PlanId) -> Result<Vec<FloorItem>, Refusal> {
    let (items, zone) = plans::work(conn, plan)?;
    let records = work::of_plan(conn, plan, zone)?;
    let items = items.into_iter();
    Ok(items
        .map(|item| FloorItem {
            plan,
            record: records
                .get(&item.id)
                .cloned()
                .unwrap_or(WorkRecord::PLANNED),
            item,
        })
        .collect())
}

/// Work of plans published before that was begun and is not over.
fn begun_before(
    conn: &mut Connection,
    site: &Site,
    number: i64,
) -> Result<Vec<FloorItem>, Refusal> {
    let zone = site.time_zone;
    let mut begun: Vec<FloorItem> = Vec::new();
    // What was begun longer ago than a hundred publications is not looked for.
    let before = publications::list(conn, &site.id, Some(number), 100, zone)?;
    for publication in before {
        let records = work::of_plan(conn, publication.plan, zone)?;
        if records
            .values()
            .all(|record| record.state != WorkState::Started)
        {
            continue;
        }
        let started = |item: &FloorItem| item.record.state == WorkState::Started;
        begun.extend(floor(conn, publication.plan)?.into_iter().filter(started));
    }
    begun.sort_by_key(|item| item.item.start);
    begun.dedup_by(|a, b| a.plan == b.plan && a.item.id == b.item.id);
    Ok(begun)
}
