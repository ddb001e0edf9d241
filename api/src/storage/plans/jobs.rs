//! The queue: who works on which plan, and until when others must leave it alone.
//!
//! A solver leases a plan and renews the lease while it works. A lease that ran out belongs to a
//! solver that went away, so the plan is taken up again by the next.

use chrono::{DateTime, Duration, Utc};
use diesel::prelude::*;
use scheduler::answer::Facts;
use scheduler::plan::Plan;
use scheduler::scenario::{Scenario, SiteId};

use super::super::row;
use super::super::schema::plans;
use super::super::{Connection, StorageError, events};
use super::named;
use crate::domain::events::{EventData, EventKind};
use crate::domain::plans::{PlanFailure, PlanId, PlanProgress, PlanRequest, PlanState};
use crate::domain::questions::{Found, SearchKind, Task};
use crate::domain::replanning::Replanning;
use crate::domain::{Refusal, time};

/// How long a lease lasts without being renewed.
pub(crate) const LEASE: Duration = Duration::seconds(6);

/// Times a plan is taken up before it counts as one that brings its solver down.
pub(crate) const ATTEMPTS: i32 = 3;

/// A plan to work on.
#[derive(Debug)]
pub(crate) struct Job {
    pub(crate) id: PlanId,
    pub(crate) request: PlanRequest,
    pub(crate) scenario: Scenario,
    pub(crate) task: Task,
    /// How often it has been taken up, this time included.
    pub(crate) attempt: i32,
}

/// How work on a plan ended.
#[derive(Debug)]
pub(crate) enum Outcome {
    Done(Found),
    Cancelled(Option<Found>),
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
            .filter(plans::state.eq(state.as_str()))
            .count()
            .get_result(conn)?;
        Ok((state.as_str(), rows))
    };
    Ok([count(PlanState::Queued)?, count(PlanState::Running)?])
}

/// Leases the oldest plan that nobody works on.
pub(crate) fn claim(
    conn: &mut Connection,
    owner: &str,
    now: DateTime<Utc>,
) -> Result<Option<Job>, StorageError> {
    let queued = plans::state.eq(PlanState::Queued.as_str());
    let abandoned = plans::state
        .eq(PlanState::Running.as_str())
        .and(plans::lease_until.lt(row::stored(now)).assume_not_null());
    let found: Option<Claimed> = plans::table
        .filter(queued.or(abandoned))
        .order((plans::created_at, plans::id))
        .select(Claimed::as_select())
        .first(conn)
        .optional()?;
    let Some(found) = found else {
        return Ok(None);
    };
    let key = found.id.clone();
    diesel::update(plans::table.find(&key))
        .set((
            plans::state.eq(PlanState::Running.as_str()),
            plans::lease_owner.eq(owner),
            plans::lease_until.eq(row::stored(now + LEASE)),
            plans::attempts.eq(found.attempts + 1),
            plans::started_at.eq(row::stored(now)),
        ))
        .execute(conn)?;
    Ok(Some(Job {
        id: PlanId::parse(&key).map_err(|error| named(&key).bad(error))?,
        request: named(&key).document(&found.request)?,
        scenario: named(&key).document(&found.scenario)?,
        task: task(conn, &found)?,
        attempt: found.attempts + 1,
    }))
}

#[derive(Queryable, Selectable)]
#[diesel(table_name = plans)]
struct Claimed {
    id: String,
    kind: String,
    request: String,
    scenario: String,
    parent: Option<String>,
    question: Option<String>,
    attempts: i32,
}

/// What is to be searched; a question about a plan comes with that plan.
fn task(conn: &mut Connection, claimed: &Claimed) -> Result<Task, StorageError> {
    let row = named(&claimed.id);
    let asked = claimed.question.as_deref().unwrap_or("null");
    let kind = SearchKind::parse(&claimed.kind)
        .ok_or_else(|| row.bad(format!("unknown kind {}", claimed.kind)))?;
    Ok(match kind {
        SearchKind::Plan => Task::Plan,
        SearchKind::Replan => Task::Replan {
            published: parent(conn, claimed)?,
            facts: row.document(asked)?,
        },
        SearchKind::Commitment => Task::Commitment(row.document(asked)?),
        SearchKind::WhatIf => Task::WhatIf(row.document(asked)?),
        SearchKind::Confidence => Task::Confidence {
            plan: parent(conn, claimed)?,
            question: row.document(asked)?,
        },
    })
}

fn parent(conn: &mut Connection, claimed: &Claimed) -> Result<Box<Plan>, StorageError> {
    let row = named(&claimed.id);
    let parent = claimed
        .parent
        .as_deref()
        .ok_or_else(|| row.bad("no plan is named"))?;
    let result: Option<String> = plans::table
        .find(parent)
        .select(plans::result)
        .first(conn)?;
    let result = result.ok_or_else(|| row.bad("the plan it is about is not done"))?;
    named(&parent).document(&result)
}

/// Renews a lease and notes the progress. Says whether somebody asked to cancel, or nothing if
/// the lease is lost.
pub(crate) fn renew(
    conn: &mut Connection,
    id: PlanId,
    owner: &str,
    progress: PlanProgress,
) -> Result<Option<bool>, StorageError> {
    let asked: Option<bool> = diesel::update(mine(id, owner))
        .set((
            plans::lease_until.eq(row::stored(time::now() + LEASE)),
            plans::progress.eq(row::text("progress", &progress)?),
        ))
        .returning(plans::cancel_requested)
        .get_result(conn)
        .optional()?;
    Ok(asked)
}

/// Notes how the work ended; false if the lease was lost, and then nothing is noted.
pub(crate) fn finish(
    conn: &mut Connection,
    id: PlanId,
    owner: &str,
    outcome: &Outcome,
    progress: PlanProgress,
) -> Result<bool, StorageError> {
    let (state, found, failure) = match outcome {
        Outcome::Done(found) => (PlanState::Done, Some(found), None),
        Outcome::Cancelled(found) => (PlanState::Cancelled, found.as_ref(), None),
        Outcome::Failed(failure) => (PlanState::Failed, None, Some(failure)),
    };
    let told = Told {
        state,
        code: failure.map(|failure| failure.code.clone()),
    };
    let written = found.map(|found| written(conn, id, found)).transpose()?;
    let written = written.unwrap_or_default();
    let ended = diesel::update(mine(id, owner))
        .set((
            plans::state.eq(state.as_str()),
            plans::result.eq(written.plan),
            plans::answer.eq(written.answer),
            plans::failure.eq(failure.map(|f| row::text("a failure", f)).transpose()?),
            plans::progress.eq(row::text("progress", &progress)?),
            plans::lease_owner.eq(None::<String>),
            plans::finished_at.eq(row::stored(time::now())),
        ))
        .execute(conn)?;
    if ended == 0 {
        return Ok(false);
    }
    if let Some(scenario) = written.scenario {
        diesel::update(plans::table.find(id.to_string()))
            .set(plans::scenario.eq(scenario))
            .execute(conn)?;
    }
    tell(conn, id, told)?;
    Ok(true)
}

/// What was found, as it is kept.
#[derive(Default)]
struct Written {
    plan: Option<String>,
    scenario: Option<String>,
    answer: Option<String>,
}

fn written(conn: &mut Connection, id: PlanId, found: &Found) -> Result<Written, StorageError> {
    let plan = match found {
        Found::Plan(plan) => Some(&**plan),
        Found::Replanned(replanned) => Some(&replanned.plan),
        _ => None,
    };
    let plan = plan.map(|plan| row::text("a plan", plan)).transpose()?;
    let (scenario, answer) = match found {
        Found::Plan(_) => (None, None),
        Found::Replanned(replanned) => {
            let key = id.to_string();
            let facts: Option<String> = plans::table
                .find(&key)
                .select(plans::question)
                .first(conn)?;
            let facts: Facts = named(&key).document(facts.as_deref().unwrap_or("null"))?;
            let told = Replanning::of(facts, replanned);
            (
                Some(row::text("a scenario", &replanned.scenario)?),
                Some(row::text("a replanning", &told)?),
            )
        }
        Found::Commitment(answer) => (None, Some(row::text("an answer", answer)?)),
        Found::WhatIf(answer) => (None, Some(row::text("an answer", answer)?)),
        Found::Confidence(answer) => (None, Some(row::text("an answer", answer)?)),
    };
    Ok(Written {
        plan,
        scenario,
        answer,
    })
}

/// How a search ended.
struct Told {
    state: PlanState,
    code: Option<String>,
}

/// Tells of the end of a search.
fn tell(conn: &mut Connection, id: PlanId, told: Told) -> Result<(), StorageError> {
    let key = id.to_string();
    let (site, kind): (String, String) = plans::table
        .find(&key)
        .select((plans::site, plans::kind))
        .first(conn)?;
    let site: SiteId = named(&key).value(site)?;
    let is_plan = SearchKind::parse(&kind).is_some_and(SearchKind::is_plan);
    let event = match (told.state, is_plan) {
        (PlanState::Done, true) => EventKind::PlanDone,
        (PlanState::Failed, true) => EventKind::PlanFailed,
        (PlanState::Cancelled, true) => EventKind::PlanCancelled,
        (PlanState::Done, false) => EventKind::QuestionAnswered,
        (PlanState::Failed, false) => EventKind::QuestionFailed,
        _ => return Ok(()),
    };
    let data = EventData {
        plan: is_plan.then_some(id),
        question: (!is_plan).then_some(id),
        code: told.code,
        ..EventData::default()
    };
    events::append(conn, &site, event, &data)?;
    Ok(())
}

/// Puts a plan back into the queue, untouched, for another solver.
pub(crate) fn release(conn: &mut Connection, id: PlanId, owner: &str) -> Result<(), StorageError> {
    diesel::update(mine(id, owner))
        .set((
            plans::state.eq(PlanState::Queued.as_str()),
            plans::lease_owner.eq(None::<String>),
            plans::attempts.eq(plans::attempts - 1),
        ))
        .execute(conn)?;
    Ok(())
}

/// Asks for a plan to be cancelled. One that nobody works on is cancelled at once.
pub(crate) fn cancel(conn: &mut Connection, id: PlanId) -> Result<(), Refusal> {
    let found: Option<String> = plans::table
        .find(id.to_string())
        .filter(plans::kind.eq_any(SearchKind::PLANS))
        .select(plans::state)
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let text = found.ok_or(Refusal::UnknownPlan(id))?;
    let state = PlanState::parse(&text).ok_or_else(|| named(&id).bad("unknown state"))?;
    let row = plans::table.find(id.to_string());
    let done = match state {
        PlanState::Queued => {
            let told = Told {
                state: PlanState::Cancelled,
                code: None,
            };
            tell(conn, id, told)?;
            diesel::update(row)
                .set((
                    plans::state.eq(PlanState::Cancelled.as_str()),
                    plans::finished_at.eq(row::stored(time::now())),
                ))
                .execute(conn)
        }
        PlanState::Running => diesel::update(row)
            .set(plans::cancel_requested.eq(true))
            .execute(conn),
        PlanState::Cancelled => Ok(0),
        PlanState::Done | PlanState::Failed => return Err(Refusal::PlanFinished { id, state }),
    };
    done.map_err(StorageError::from)?;
    Ok(())
}

#[diesel::dsl::auto_type(no_type_alias)]
fn mine<'a>(id: PlanId, owner: &'a str) -> _ {
    let key: String = id.to_string();
    let state: &'static str = "running";
    plans::table
        .filter(plans::id.eq(key))
        .filter(plans::lease_owner.eq(owner))
        .filter(plans::state.eq(state))
}

#[cfg(test)]
mod tests;
