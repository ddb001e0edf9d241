//! Records that stand by themselves: deliveries, events, readings, setups, the audit trail.
//!
//! They lie in the order in which they were made, so the old ones are looked for from the first on.

use std::collections::HashSet;

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::plans::live_lines;
use super::{BATCH, Step};
use crate::domain::webhooks::DeliveryState;
use crate::storage::schema::{
    audit, event_counter, events, plans, readings, setup_revisions, webhook_deliveries, webhooks,
};
use crate::storage::{Connection, StorageError};

/// Deliveries that are over, and those to webhooks that are disabled.
pub(super) fn deliveries(
    conn: &mut Connection,
    before: NaiveDateTime,
    after: &str,
) -> Result<Step, StorageError> {
    let enabled: Vec<String> = webhooks::table
        .filter(webhooks::disabled_at.is_null())
        .select(webhooks::id)
        .load(conn)?;
    let rows: Vec<(String, String, String, NaiveDateTime)> = webhook_deliveries::table
        .filter(webhook_deliveries::id.gt(after))
        .order(webhook_deliveries::id)
        .limit(BATCH)
        .select((
            webhook_deliveries::id,
            webhook_deliveries::webhook,
            webhook_deliveries::state,
            webhook_deliveries::created_at,
        ))
        .load(conn)?;
    let old: Vec<_> = rows.iter().take_while(|row| row.3 < before).collect();
    let next = next(old.len()).then(|| old[old.len() - 1].0.clone());
    let over = |(_, webhook, state, _): &&(String, String, String, NaiveDateTime)| {
        state != DeliveryState::Pending.into_str() || !enabled.contains(webhook)
    };
    let ids: Vec<&String> = old.into_iter().filter(over).map(|row| &row.0).collect();
    let gone = diesel::delete(webhook_deliveries::table.filter(webhook_deliveries::id.eq_any(ids)))
        .execute(conn)?;
    Ok(Step { gone, next })
}

/// Whether there may be more behind the old ones of a batch.
fn next(old: usize) -> bool {
    i64::try_from(old).is_ok_and(|old| old == BATCH)
}

/// Events up to the first that is young, is the last, has not been written down for a webhook, or
/// has a delivery that is kept. Readers that have not come so far are told.
pub(super) fn events(conn: &mut Connection, before: NaiveDateTime) -> Result<Step, StorageError> {
    let rows: Vec<(i64, NaiveDateTime)> = events::table
        .order(events::seq)
        .limit(BATCH + 1)
        .select((events::seq, events::at))
        .load(conn)?;
    let unsent: Option<i64> = webhooks::table
        .filter(webhooks::disabled_at.is_null())
        .select(diesel::dsl::min(webhooks::last_seq))
        .first(conn)?;
    let delivered: Option<i64> = webhook_deliveries::table
        .select(diesel::dsl::min(webhook_deliveries::seq))
        .first(conn)?;
    let most = unsent
        .unwrap_or(i64::MAX)
        .min(delivered.map_or(i64::MAX, |seq| seq - 1));
    // The last one stays: it says how far everything has come.
    let all_but_last = rows.len().saturating_sub(1);
    let old = rows[..all_but_last]
        .iter()
        .take_while(|(seq, at)| *at < before && *seq <= most);
    let Some((last, _)) = old.last() else {
        return Ok(Step::default());
    };
    let gone = diesel::delete(events::table.filter(events::seq.le(last))).execute(conn)?;
    diesel::update(event_counter::table)
        .set(event_counter::pruned_to.eq(last))
        .execute(conn)?;
    let next = next(gone).then(|| last.to_string());
    Ok(Step { gone, next })
}

/// Readings, but for those of a line of plans that is in use.
pub(super) fn readings(
    conn: &mut Connection,
    before: NaiveDateTime,
    after: &str,
) -> Result<Step, StorageError> {
    let rows: Vec<(String, String, NaiveDateTime)> = readings::table
        .filter(readings::id.gt(after))
        .order(readings::id)
        .limit(BATCH)
        .select((readings::id, readings::plan, readings::recorded_at))
        .load(conn)?;
    let old: Vec<_> = rows.iter().take_while(|row| row.2 < before).collect();
    let next = next(old.len()).then(|| old[old.len() - 1].0.clone());
    let live = live_lines(conn)?;
    let over = old.iter().filter(|row| !live.contains(&row.1));
    let ids: Vec<&String> = over.map(|row| &row.0).collect();
    let gone = diesel::delete(readings::table.filter(readings::id.eq_any(ids))).execute(conn)?;
    Ok(Step { gone, next })
}

/// Setups, but for each site's newest and those that a plan was made with.
pub(super) fn setup_revisions(
    conn: &mut Connection,
    before: NaiveDateTime,
) -> Result<Step, StorageError> {
    let rows: Vec<(String, i64, NaiveDateTime)> = setup_revisions::table
        .order((setup_revisions::site, setup_revisions::revision.desc()))
        .select((
            setup_revisions::site,
            setup_revisions::revision,
            setup_revisions::created_at,
        ))
        .load(conn)?;
    let used: Vec<(String, i64)> = plans::table
        .select((plans::site, plans::setup_revision))
        .distinct()
        .load(conn)?;
    let used: HashSet<(&str, i64)> = used.iter().map(|(site, n)| (site.as_str(), *n)).collect();
    let mut gone = 0;
    let mut newest = HashSet::new();
    for (site, revision, at) in &rows {
        let is_newest = newest.insert(site);
        if is_newest || *at >= before || used.contains(&(site.as_str(), *revision)) {
            continue;
        }
        gone += diesel::delete(setup_revisions::table.find((site, revision))).execute(conn)?;
    }
    Ok(Step { gone, next: None })
}

/// Entries of the audit trail.
pub(super) fn audit(conn: &mut Connection, before: NaiveDateTime) -> Result<Step, StorageError> {
    let rows: Vec<(i64, NaiveDateTime)> = audit::table
        .order(audit::seq)
        .limit(BATCH)
        .select((audit::seq, audit::at))
        .load(conn)?;
    let old = rows.iter().take_while(|(_, at)| *at < before);
    let Some((last, _)) = old.last() else {
        return Ok(Step::default());
    };
    let gone = diesel::delete(audit::table.filter(audit::seq.le(last))).execute(conn)?;
    let next = next(gone).then(|| last.to_string());
    Ok(Step { gone, next })
}
