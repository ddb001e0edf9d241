//! Plans and questions. A line of replannings goes from its end, so that nothing that is kept was
//! made from something that is gone.

use std::collections::HashSet;

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::{BATCH, Step};
use crate::domain::commitments::Standing;
use crate::domain::plans::PlanState;
use crate::storage::schema::{commitments, plans, publications, readings, work_states};
use crate::storage::{Connection, StorageError};

/// Fewer than of other records: a plan is large.
const PLANS: i64 = BATCH / 10;

/// Plans that are published, and all they were replanned from.
pub(super) fn live_lines(conn: &mut Connection) -> Result<HashSet<String>, StorageError> {
    let mut next: Vec<String> = publications::table
        .filter(publications::withdrawn_at.is_null())
        .select(publications::plan)
        .load(conn)?;
    let mut live = HashSet::new();
    while let Some(plan) = next.pop() {
        let parent: Option<Option<String>> = plans::table
            .find(&plan)
            .select(plans::parent)
            .first(conn)
            .optional()?;
        if live.insert(plan) {
            next.extend(parent.flatten());
        }
    }
    Ok(live)
}

/// Plans and questions that ended long ago and that nothing refers to any more.
pub(super) fn old(
    conn: &mut Connection,
    before: NaiveDateTime,
    after: &str,
) -> Result<Step, StorageError> {
    let rows: Vec<(String, NaiveDateTime, Option<NaiveDateTime>, String)> = plans::table
        .filter(plans::id.gt(after))
        .order(plans::id)
        .limit(PLANS)
        .select((
            plans::id,
            plans::created_at,
            plans::finished_at,
            plans::state,
        ))
        .load(conn)?;
    let looked_at = rows.len();
    let old: Vec<_> = rows
        .into_iter()
        .take_while(|(_, created, ..)| *created < before)
        .collect();
    let more = old.len() == looked_at && i64::try_from(looked_at).is_ok_and(|n| n == PLANS);
    let next = old.last().filter(|_| more).map(|row| row.0.clone());
    let open = [PlanState::Queued.into_str(), PlanState::Running.into_str()];
    let live = live_lines(conn)?;
    let mut gone = 0;
    // The latest first, so that a line can go at once.
    for (id, _, finished, state) in old.iter().rev() {
        let over = finished.is_some_and(|at| at < before) && !open.contains(&state.as_str());
        if over && !live.contains(id) && !needed(conn, id)? {
            remove(conn, id)?;
            gone += 1;
        }
    }
    Ok(Step { gone, next })
}

/// Whether something that is kept refers to a plan.
fn needed(conn: &mut Connection, id: &str) -> Result<bool, StorageError> {
    let children: i64 = plans::table
        .filter(plans::parent.eq(id))
        .count()
        .get_result(conn)?;
    let read: i64 = readings::table
        .filter(readings::plan.eq(id))
        .count()
        .get_result(conn)?;
    let held: i64 = commitments::table
        .find(id)
        .filter(commitments::standing.eq(Standing::Held.into_str()))
        .count()
        .get_result(conn)?;
    Ok(children + read + held > 0 || published_last(conn, id)?)
}

/// Whether it is what its site published last: the next publication counts on from it.
fn published_last(conn: &mut Connection, id: &str) -> Result<bool, StorageError> {
    let at: Vec<(String, i64)> = publications::table
        .filter(publications::plan.eq(id))
        .select((publications::site, publications::number))
        .load(conn)?;
    for (site, number) in at {
        let last: Option<i64> = publications::table
            .filter(publications::site.eq(&site))
            .select(diesel::dsl::max(publications::number))
            .first(conn)?;
        if last == Some(number) {
            return Ok(true);
        }
    }
    Ok(false)
}

fn remove(conn: &mut Connection, id: &str) -> Result<(), StorageError> {
    diesel::delete(work_states::table.filter(work_states::plan.eq(id))).execute(conn)?;
    diesel::delete(commitments::table.find(id)).execute(conn)?;
    diesel::delete(publications::table.filter(publications::plan.eq(id))).execute(conn)?;
    diesel::delete(plans::table.find(id)).execute(conn)?;
    Ok(())
}
