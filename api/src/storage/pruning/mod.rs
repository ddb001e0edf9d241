//! Throws away what was kept for long enough, a little at a time, and never what something that is
//! still in use refers to.
//!
//! Records that are only ever added to are guarded by triggers; a row of `pruning` lets this job
//! pass, and is open only within its transactions.

mod plans;
mod records;

use chrono::{DateTime, Utc};
use diesel::prelude::*;

use super::schema::pruning;
use super::{Connection, StorageError};
use crate::domain::keeping::Keeping;

/// Rows that are looked at in one transaction: others want to write meanwhile.
const BATCH: i64 = 200;

/// A kind of record that is thrown away in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Deliveries,
    Events,
    Readings,
    Plans,
    SetupRevisions,
    Audit,
}

impl Kind {
    /// All kinds; those that others refer to come after those.
    pub(crate) const ALL: [Self; 6] = [
        Self::Deliveries,
        Self::Events,
        Self::Readings,
        Self::Plans,
        Self::SetupRevisions,
        Self::Audit,
    ];

    /// For the log.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Deliveries => "deliveries",
            Self::Events => "events",
            Self::Readings => "readings",
            Self::Plans => "plans",
            Self::SetupRevisions => "setup revisions",
            Self::Audit => "entries of the audit trail",
        }
    }

    /// What is older than this goes; none if everything stays.
    pub(crate) fn before(self, keeping: &Keeping, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
        let days = match self {
            Self::Deliveries => keeping.deliveries,
            Self::Events => keeping.events,
            Self::Readings => keeping.readings,
            Self::Plans => keeping.plans,
            Self::SetupRevisions => keeping.setup_revisions,
            Self::Audit => keeping.audit,
        };
        days.before(now)
    }
}

/// What one step through the records of a kind did.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Step {
    /// How many are gone.
    pub(crate) gone: usize,
    /// Where to go on; none at the end.
    pub(crate) next: Option<String>,
}

/// Takes one step, from where the one before ended.
pub(crate) fn step(
    conn: &mut Connection,
    kind: Kind,
    before: DateTime<Utc>,
    after: Option<&str>,
) -> Result<Step, StorageError> {
    let before = super::row::stored(before);
    let after = after.unwrap_or_default();
    pass(conn, true)?;
    let step = match kind {
        Kind::Deliveries => records::deliveries(conn, before, after),
        Kind::Events => records::events(conn, before),
        Kind::Readings => records::readings(conn, before, after),
        Kind::Plans => plans::old(conn, before, after),
        Kind::SetupRevisions => records::setup_revisions(conn, before),
        Kind::Audit => records::audit(conn, before),
    }?;
    pass(conn, false)?;
    Ok(step)
}

/// Lets this transaction delete records, or no longer.
fn pass(conn: &mut Connection, open: bool) -> Result<(), StorageError> {
    diesel::update(pruning::table)
        .set(pruning::open.eq(open))
        .execute(conn)?;
    Ok(())
}
