//! Looks out for searches whose solver went away.
//!
//! A lease holds as long as it is renewed. Whether it is, everybody who might take the search over
//! sees with a steady clock of their own: no clock is compared with another, and one that is set
//! back or runs elsewhere does no harm.

use std::collections::HashMap;
use std::time::{Duration, Instant};

use super::{Shared, owner};
use crate::storage::StorageError;
use crate::storage::plans::jobs::{self, Leased};

/// How long a lease may go without being renewed.
pub(super) const LEASE: Duration = Duration::from_secs(6);

/// The most that one look adds: whoever was stopped for an hour himself has seen nothing meanwhile.
const LOOK: Duration = Duration::from_secs(2);

/// What was seen of the leases that others hold.
#[derive(Debug, Default)]
pub(super) struct Lookout(HashMap<Leased, Seen>);

/// How long a lease has stayed as it is.
#[derive(Debug)]
struct Seen {
    unchanged: Duration,
    last: Instant,
}

impl Lookout {
    /// Looks at what is leased now, and tells of what is not held any more.
    fn look(&mut self, leased: Vec<Leased>, now: Instant) -> Vec<Leased> {
        let mut before = std::mem::take(&mut self.0);
        for one in leased {
            let mut seen = before.remove(&one).unwrap_or(Seen {
                unchanged: Duration::ZERO,
                last: now,
            });
            seen.unchanged += now.saturating_duration_since(seen.last).min(LOOK);
            seen.last = now;
            self.0.insert(one, seen);
        }
        let over = |(one, seen): (&Leased, &Seen)| (seen.unchanged >= LEASE).then(|| one.clone());
        self.0.iter().filter_map(over).collect()
    }
}

/// Takes back what is not held any more, and wakes the solvers.
pub(super) fn once(shared: &Shared, lookout: &mut Lookout) -> Result<(), StorageError> {
    let leased = shared.store.read_now(jobs::leased)?;
    let (gone, there): (Vec<Leased>, Vec<Leased>) = leased
        .into_iter()
        .partition(|one| one.lease.as_deref().is_some_and(owner::is_gone));
    let silent = lookout.look(there, Instant::now());
    let lost = gone.into_iter().map(|one| (one, true));
    let lost = lost.chain(silent.into_iter().map(|one| {
        // This very process lives.
        let own = one.lease.as_deref().is_some_and(|l| shared.owner.holds(l));
        (one, !own)
    }));
    for (one, died) in lost {
        let taken = shared
            .store
            .write_now(|conn| jobs::take_back(conn, &one, died))?;
        if taken {
            tracing::warn!(plan = %one.key, "its solver went away; it is taken up again");
            shared.alarm.ring();
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leased(renewals: i64) -> Vec<Leased> {
        vec![Leased {
            key: "plan".to_owned(),
            lease: Some("owner/lease".to_owned()),
            renewals,
        }]
    }

    #[test]
    fn a_lease_that_is_not_renewed_is_lost_after_a_while_by_ones_own_clock() {
        let mut lookout = Lookout::default();
        let begin = Instant::now();
        let mut at = begin;
        while at.duration_since(begin) < LEASE {
            assert!(lookout.look(leased(1), at).is_empty());
            at += Duration::from_secs(1);
        }
        assert_eq!(lookout.look(leased(1), at), leased(1));
        assert!(lookout.look(leased(2), at).is_empty(), "it was renewed");
    }

    #[test]
    fn whoever_was_stopped_himself_has_seen_nothing() {
        let mut lookout = Lookout::default();
        let begin = Instant::now();
        assert!(lookout.look(leased(1), begin).is_empty());
        let later = begin + Duration::from_secs(3600);
        assert!(lookout.look(leased(1), later).is_empty());
    }
}
