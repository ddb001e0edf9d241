//! The queue: who works on which search, and what becomes of one whose solver went away.
//!
//! A solver leases a search and renews the lease while it works. Every taking-up has a lease of its
//! own, which is the fencing token: whoever holds an older one can neither renew nor finish it. No
//! clock says whether a lease still holds. Others see that it was renewed, or for how long, by their
//! own steady clocks, it was not (`crate::jobs`); so clocks that differ or are set back do no harm.

mod cancel;
mod claim;
mod ending;
mod lost;

use diesel::prelude::*;
use scheduler::scenario::{Scenario, SiteId};

use super::super::row;
use super::super::schema::plans;
use super::super::{Connection, StorageError};
use crate::domain::plans::{PlanFailure, PlanId, PlanProgress, PlanRequest, PlanState};
use crate::domain::questions::{QuestionResult, Task};

pub(crate) use cancel::{cancel, cancel_question};
pub(crate) use claim::{Here, claim};
pub(crate) use ending::finish;
pub(crate) use lost::{Leased, leased, take_back};

/// A search to work on.
#[derive(Debug)]
pub(crate) struct Job {
    pub(crate) id: PlanId,
    /// The lease of this taking-up; nobody else has the same.
    pub(crate) lease: String,
    pub(crate) request: PlanRequest,
    pub(crate) scenario: Scenario,
    pub(crate) task: Task,
    /// How often it has been taken up, this time included.
    pub(crate) attempt: i32,
    /// Whether it is searched alone, because processes died with it.
    pub(crate) alone: bool,
}

/// How work on a plan ended.
#[derive(Debug)]
pub(crate) enum Outcome {
    Done(QuestionResult),
    Cancelled(Option<QuestionResult>),
    Failed(PlanFailure),
}

impl Outcome {
    /// How far the plan is from its bound, if there is one.
    pub(crate) fn gap(&self) -> Option<f64> {
        match self {
            Self::Done(found) | Self::Cancelled(Some(found)) => {
                found.plan().map(|plan| plan.verdict.gap)
            }
            Self::Cancelled(None) | Self::Failed(_) => None,
        }
    }

    /// For the log.
    pub(crate) fn name(&self) -> &'static str {
        match self {
            Self::Done(_) => "done",
            Self::Cancelled(_) => "cancelled",
            Self::Failed(_) => "failed",
        }
    }
}

/// How many plans wait, and how many are being searched.
pub(crate) fn queue(conn: &mut Connection) -> Result<[(&'static str, i64); 2], StorageError> {
    let mut count = |state: PlanState| -> Result<_, StorageError> {
        let rows: i64 = plans::table
            .filter(plans::state.eq(state.into_str()))
            .count()
            .get_result(conn)?;
        Ok((state.into_str(), rows))
    };
    Ok([count(PlanState::Queued)?, count(PlanState::Running)?])
}

/// How many searches are open, which is queued or running: of a site, and of a caller.
pub(crate) fn open(
    conn: &mut Connection,
    site: &SiteId,
    caller: Option<&str>,
) -> Result<(i64, i64), StorageError> {
    let states = [PlanState::Queued.into_str(), PlanState::Running.into_str()];
    let of_site: i64 = plans::table
        .filter(plans::state.eq_any(states))
        .filter(plans::site.eq(site.as_str()))
        .count()
        .get_result(conn)?;
    let Some(caller) = caller else {
        return Ok((of_site, 0));
    };
    let of_caller: i64 = plans::table
        .filter(plans::state.eq_any(states))
        .filter(plans::caller.eq(caller))
        .count()
        .get_result(conn)?;
    Ok((of_site, of_caller))
}

/// Renews a lease and notes the progress. Says whether somebody asked to cancel, or nothing if
/// the lease is lost.
pub(crate) fn renew(
    conn: &mut Connection,
    id: PlanId,
    lease: &str,
    progress: PlanProgress,
) -> Result<Option<bool>, StorageError> {
    let asked: Option<bool> = diesel::update(mine(id, lease))
        .set((
            plans::renewals.eq(plans::renewals + 1),
            plans::progress.eq(row::text("progress", &progress)?),
        ))
        .returning(plans::cancel_requested)
        .get_result(conn)
        .optional()?;
    Ok(asked)
}

/// Whether somebody asked to cancel, or nothing if the lease is lost.
pub(crate) fn cancel_asked(
    conn: &mut Connection,
    id: PlanId,
    lease: &str,
) -> Result<Option<bool>, StorageError> {
    let asked = mine(id, lease)
        .select(plans::cancel_requested)
        .first(conn)
        .optional()?;
    Ok(asked)
}

/// Puts a search back into the queue, untouched, for another solver.
pub(crate) fn release(conn: &mut Connection, id: PlanId, lease: &str) -> Result<(), StorageError> {
    diesel::update(mine(id, lease))
        .set((
            plans::state.eq(PlanState::Queued.into_str()),
            plans::lease_owner.eq(None::<String>),
        ))
        .execute(conn)?;
    Ok(())
}

#[diesel::dsl::auto_type(no_type_alias)]
fn mine<'a>(id: PlanId, lease: &'a str) -> _ {
    let key: String = id.to_string();
    let state: &'static str = "running";
    plans::table
        .filter(plans::id.eq(key))
        .filter(plans::lease_owner.eq(lease))
        .filter(plans::state.eq(state))
}

#[cfg(test)]
mod tests;
