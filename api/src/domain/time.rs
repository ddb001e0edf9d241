//! The clock, read in one place.

use chrono::{DateTime, FixedOffset, SubsecRound, Utc};

/// Now, to the microsecond: what every database keeps.
pub(crate) fn now() -> DateTime<Utc> {
    Utc::now().trunc_subsecs(6)
}

/// An instant as every database keeps it.
pub(crate) fn kept(at: DateTime<FixedOffset>) -> DateTime<Utc> {
    at.with_timezone(&Utc).trunc_subsecs(6)
}
