//! How long records are kept before they are thrown away.

use chrono::{DateTime, TimeDelta, Utc};

/// For how many days records of a kind are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Days(pub(crate) u32);

impl Days {
    /// Where nothing is said: two years.
    pub(crate) const USUAL: u32 = 730;

    /// What is older than this goes; none if everything stays.
    pub(crate) fn before(self, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
        let kept = TimeDelta::days(i64::from(self.0));
        now.checked_sub_signed(kept).filter(|_| self.0 > 0)
    }
}

/// How long each kind of record is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Keeping {
    pub(crate) plans: Days,
    pub(crate) events: Days,
    pub(crate) audit: Days,
    pub(crate) readings: Days,
    pub(crate) deliveries: Days,
    pub(crate) setup_revisions: Days,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::time;

    #[test]
    fn zero_days_are_for_ever() {
        let now = time::now();
        assert_eq!(Days(0).before(now), None);
        assert_eq!(Days(2).before(now), Some(now - TimeDelta::days(2)));
        assert_eq!(Days(u32::MAX).before(now), None);
    }
}
