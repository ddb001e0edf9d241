//! Cancelling a search that somebody no longer wants.

use diesel::prelude::*;

use super::super::super::schema::plans;
use super::super::super::{Connection, StorageError};
use super::super::named;
use super::ending::end;
use crate::domain::Refusal;
use crate::domain::plans::{PlanId, PlanState};
use crate::domain::questions::SearchKind;

/// Asks for a plan to be cancelled. One that nobody works on is cancelled at once.
pub(crate) fn cancel(conn: &mut Connection, id: PlanId) -> Result<(), Refusal> {
    match found(conn, id)? {
        Some((kind, state)) if kind.is_plan() => match stop(conn, id, state)? {
            true => Ok(()),
            false => Err(Refusal::PlanFinished { id, state }),
        },
        _ => Err(Refusal::UnknownPlan(id)),
    }
}

/// The same for a question; of one kind, where one is named.
pub(crate) fn cancel_question(
    conn: &mut Connection,
    id: PlanId,
    wanted: Option<SearchKind>,
) -> Result<(), Refusal> {
    match found(conn, id)? {
        Some((kind, state)) if !kind.is_plan() && wanted.is_none_or(|w| w == kind) => {
            match stop(conn, id, state)? {
                true => Ok(()),
                false => Err(Refusal::QuestionFinished { id, state }),
            }
        }
        _ => Err(Refusal::UnknownQuestion(id)),
    }
}

fn found(
    conn: &mut Connection,
    id: PlanId,
) -> Result<Option<(SearchKind, PlanState)>, StorageError> {
    let row: Option<(String, String)> = plans::table
        .find(id.to_string())
        .select((plans::kind, plans::state))
        .first(conn)
        .optional()?;
    let Some((kind, state)) = row else {
        return Ok(None);
    };
    let row = named(&id);
    let kind: SearchKind = row.word("kind", &kind)?;
    let state: PlanState = row.word("state", &state)?;
    Ok(Some((kind, state)))
}

/// Cancels a search, or asks its solver to; false where it has ended otherwise.
fn stop(conn: &mut Connection, id: PlanId, state: PlanState) -> Result<bool, StorageError> {
    match state {
        PlanState::Queued => end(conn, &id.to_string(), PlanState::Cancelled, None)?,
        PlanState::Running => {
            diesel::update(plans::table.find(id.to_string()))
                .set(plans::cancel_requested.eq(true))
                .execute(conn)?;
        }
        PlanState::Cancelled => {}
        PlanState::Done | PlanState::Failed => return Ok(false),
    }
    Ok(true)
}
