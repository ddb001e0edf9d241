//! Searches whose solver went away.

use diesel::prelude::*;

use super::super::super::schema::plans;
use super::super::super::{Connection, StorageError};
use super::ending::{end, set_aside};
use crate::domain::plans::{PlanFailure, PlanState};
use crate::domain::queue::GIVE_UP;
use crate::problem::Kind;

/// A search that somebody works on, or did.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Queryable)]
pub(crate) struct Leased {
    /// Its id, as it is kept.
    pub(crate) key: String,
    /// The lease; none where a version before this one left it so.
    pub(crate) lease: Option<String>,
    /// How often it was renewed.
    pub(crate) renewals: i64,
}

/// Everything that is being searched.
pub(crate) fn leased(conn: &mut Connection) -> Result<Vec<Leased>, StorageError> {
    let rows = plans::table
        .filter(plans::state.eq(PlanState::Running.into_str()))
        .order(plans::id)
        .select((plans::id, plans::lease_owner, plans::renewals))
        .load(conn)?;
    Ok(rows)
}

/// Takes a search back from a solver that went away: into the queue, or to its end where somebody
/// has cancelled it meanwhile or too many processes died with it. False if its solver is there
/// after all. `died` is whether the whole process may have gone.
pub(crate) fn take_back(
    conn: &mut Connection,
    lost: &Leased,
    died: bool,
) -> Result<bool, StorageError> {
    let found: Option<(Option<String>, i64, bool, i32)> = plans::table
        .find(&lost.key)
        .filter(plans::state.eq(PlanState::Running.into_str()))
        .select((
            plans::lease_owner,
            plans::renewals,
            plans::cancel_requested,
            plans::deaths,
        ))
        .first(conn)
        .optional()?;
    let Some((lease, renewals, cancelled, before)) = found else {
        return Ok(false);
    };
    if lease != lost.lease || renewals != lost.renewals {
        return Ok(false);
    }
    let deaths = before.saturating_add(i32::from(died));
    if cancelled {
        end(conn, &lost.key, PlanState::Cancelled, None)?;
    } else if deaths >= GIVE_UP {
        tracing::error!(plan = %lost.key, deaths, "processes die with it: it is set aside");
        set_aside(conn, &lost.key, &gave_up(deaths))?;
    } else {
        diesel::update(plans::table.find(&lost.key))
            .set((
                plans::state.eq(PlanState::Queued.into_str()),
                plans::lease_owner.eq(None::<String>),
                plans::deaths.eq(deaths),
            ))
            .execute(conn)?;
    }
    Ok(true)
}

fn gave_up(deaths: i32) -> PlanFailure {
    PlanFailure {
        code: Kind::SetAside.code().to_owned(),
        detail: format!(
            "the service went down {deaths} times while it searched this, at last with nothing else \
             beside it, so it was set aside; ask for fewer days or a coarser grid"
        ),
    }
}
