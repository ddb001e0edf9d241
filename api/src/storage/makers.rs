//! Who made something that goes on by itself, and whether they are still somebody.

use chrono::{DateTime, Utc};
use scheduler::scenario::SiteId;

use super::{Connection, StorageError, keys, people};
use crate::domain::access::{Actor, Scope};

/// A maker as it is kept.
pub(crate) fn kept(actor: &Actor) -> String {
    format!("{}:{}", actor.kind.into_str(), actor.id)
}

/// Whether whoever made something may still do so: their key works or they are still there, with
/// this scope, at this site, or everywhere where none is named. Of what was made before makers were
/// noted nothing is known, and it goes on.
pub(super) fn lasts(
    conn: &mut Connection,
    maker: Option<&str>,
    scope: Scope,
    site: Option<&SiteId>,
    now: DateTime<Utc>,
) -> Result<bool, StorageError> {
    let Some(maker) = maker else {
        return Ok(true);
    };
    let actor = match maker.split_once(':') {
        Some(("key", id)) => keys::actor(conn, id, now)?,
        Some(("person", id)) => people::actor(conn, id, now)?,
        _ => None,
    };
    Ok(actor.is_some_and(|actor| {
        let there = match site {
            Some(site) => actor.grant.reaches(site),
            None => actor.grant.sites.is_none(),
        };
        there && actor.grant.allows(scope)
    }))
}
