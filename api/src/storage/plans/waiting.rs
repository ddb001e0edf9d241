//! Whether anybody works on the queue.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::prelude::*;

use super::super::schema::plans;
use super::super::{Connection, StorageError};
use crate::domain::plans::PlanState;

/// Since when the oldest queued job has waited, if none is being worked on.
pub(crate) fn idle_since(conn: &mut Connection) -> Result<Option<DateTime<Utc>>, StorageError> {
    let at_work: i64 = plans::table
        .filter(plans::state.eq(PlanState::Running.into_str()))
        .count()
        .get_result(conn)?;
    if at_work > 0 {
        return Ok(None);
    }
    let oldest: Option<NaiveDateTime> = plans::table
        .filter(plans::state.eq(PlanState::Queued.into_str()))
        .order(plans::created_at)
        .select(plans::created_at)
        .first(conn)
        .optional()?;
    Ok(oldest.map(|at| at.and_utc()))
}
