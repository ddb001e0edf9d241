//! How a search ends, and the event that tells of it.

use diesel::prelude::*;
use scheduler::answer::Facts;
use scheduler::scenario::SiteId;

use super::super::super::row;
use super::super::super::schema::plans;
use super::super::super::{Connection, StorageError, events};
use super::super::named;
use super::{Outcome, mine};
use crate::domain::events::{EventData, EventKind};
use crate::domain::plans::{PlanFailure, PlanId, PlanProgress, PlanState};
use crate::domain::questions::{QuestionResult, SearchKind};
use crate::domain::replanning::Replanning;
use crate::domain::time;

/// Notes how the work ended; false if the lease was lost, and then nothing is noted.
pub(crate) fn finish(
    conn: &mut Connection,
    id: PlanId,
    lease: &str,
    outcome: &Outcome,
    progress: PlanProgress,
) -> Result<bool, StorageError> {
    let (state, found, failure) = match outcome {
        Outcome::Done(found) => (PlanState::Done, Some(found), None),
        Outcome::Cancelled(found) => (PlanState::Cancelled, found.as_ref(), None),
        Outcome::Failed(failure) => (PlanState::Failed, None, Some(failure)),
    };
    let written = found.map(|found| written(conn, id, found)).transpose()?;
    let written = written.unwrap_or_default();
    let ended = diesel::update(mine(id, lease))
        .set((
            plans::state.eq(state.into_str()),
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
    let code = failure.map(|failure| failure.code.clone());
    tell(conn, id, state, code)?;
    Ok(true)
}

/// What was found, as it is kept.
#[derive(Default)]
struct Written {
    plan: Option<String>,
    scenario: Option<String>,
    answer: Option<String>,
}

fn written(
    conn: &mut Connection,
    id: PlanId,
    found: &QuestionResult,
) -> Result<Written, StorageError> {
    let plan = match found {
        QuestionResult::Plan(plan) => Some(&**plan),
        QuestionResult::Replanned(replanned) => Some(&replanned.plan),
        _ => None,
    };
    let plan = plan.map(|plan| row::text("a plan", plan)).transpose()?;
    let (scenario, answer) = match found {
        QuestionResult::Plan(_) => (None, None),
        QuestionResult::Replanned(replanned) => {
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
        QuestionResult::Commitment(answer) => (None, Some(row::text("an answer", answer)?)),
        QuestionResult::WhatIf(answer) => (None, Some(row::text("an answer", answer)?)),
        QuestionResult::Confidence(answer) => (None, Some(row::text("an answer", answer)?)),
    };
    Ok(Written {
        plan,
        scenario,
        answer,
    })
}

/// Tells of the end of a search.
pub(super) fn tell(
    conn: &mut Connection,
    id: PlanId,
    state: PlanState,
    code: Option<String>,
) -> Result<(), StorageError> {
    let key = id.to_string();
    let (site, kind): (String, String) = plans::table
        .find(&key)
        .select((plans::site, plans::kind))
        .first(conn)?;
    let site: SiteId = named(&key).value(site)?;
    let is_plan = kind.parse().is_ok_and(SearchKind::is_plan);
    let event = match (state, is_plan) {
        (PlanState::Done, true) => EventKind::PlanDone,
        (PlanState::Failed, true) => EventKind::PlanFailed,
        (PlanState::Cancelled, true) => EventKind::PlanCancelled,
        (PlanState::Done, false) => EventKind::QuestionAnswered,
        (PlanState::Failed, false) => EventKind::QuestionFailed,
        (PlanState::Cancelled, false) => EventKind::QuestionCancelled,
        (PlanState::Queued | PlanState::Running, _) => return Ok(()),
    };
    let data = EventData {
        plan: is_plan.then_some(id),
        question: (!is_plan).then_some(id),
        code,
        ..EventData::default()
    };
    events::append(conn, &site, event, &data)?;
    Ok(())
}

/// Ends a search that nobody works on, and tells of it.
pub(super) fn end(
    conn: &mut Connection,
    key: &str,
    state: PlanState,
    failure: Option<&PlanFailure>,
) -> Result<(), StorageError> {
    diesel::update(plans::table.find(key))
        .set((
            plans::state.eq(state.into_str()),
            plans::failure.eq(failure.map(|f| row::text("a failure", f)).transpose()?),
            plans::lease_owner.eq(None::<String>),
            plans::finished_at.eq(row::stored(time::now())),
        ))
        .execute(conn)?;
    let id = PlanId::parse(key).map_err(|error| named(&key).bad(error))?;
    tell(conn, id, state, failure.map(|f| f.code.clone()))
}

/// Ends a search that cannot go on, so that the queue does. Where the row is so damaged that not
/// even the event can be written, it is set aside without.
pub(super) fn set_aside(
    conn: &mut Connection,
    key: &str,
    failure: &PlanFailure,
) -> Result<(), StorageError> {
    match end(conn, key, PlanState::Failed, Some(failure)) {
        Err(error) if error.is_about_a_row() => {
            tracing::error!(plan = %key, cause = %error, "nobody is told that it was set aside");
            Ok(())
        }
        done => done,
    }
}
