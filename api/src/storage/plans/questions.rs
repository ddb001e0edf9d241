//! Questions in the database: rows beside plans, searched by the same solvers.

use diesel::prelude::*;

use super::super::schema::plans;
use super::super::{Connection, StorageError};
use super::{Header, named, zone_of};
use crate::domain::Refusal;
use crate::domain::plans::PlanId;
use crate::domain::questions::{Question, SearchKind};

/// A question, with its answer once there is one.
pub(crate) fn load(conn: &mut Connection, id: PlanId) -> Result<Question, Refusal> {
    let key = id.to_string();
    let found: Option<(Header, Option<String>)> = plans::table
        .find(&key)
        .filter(plans::kind.ne_all(SearchKind::PLANS))
        .select((Header::as_select(), plans::answer))
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let (header, answer) = found.ok_or(Refusal::UnknownQuestion(id))?;
    let zone = zone_of(conn, &header.site)?;
    let row = named(&key);
    let kind: SearchKind = row.word("kind", &header.kind)?;
    let summary = header.checked(zone)?;
    let mut question = Question {
        id,
        site: summary.site,
        kind,
        state: summary.state,
        plan: summary.replans,
        progress: summary.progress,
        failure: summary.failure,
        created_at: summary.created_at,
        finished_at: summary.finished_at,
        commitment: None,
        what_if: None,
        confidence: None,
    };
    let Some(text) = answer else {
        return Ok(question);
    };
    match kind {
        SearchKind::Commitment => question.commitment = Some(row.document(&text)?),
        SearchKind::WhatIf => question.what_if = Some(row.document(&text)?),
        SearchKind::Confidence => question.confidence = Some(row.document(&text)?),
        SearchKind::Plan | SearchKind::Replan => {}
    }
    Ok(question)
}
