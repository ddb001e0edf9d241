//! Which webhooks are delivered to at a time: each once, and slow ones never in all places.
//!
//! Pure: no network and no clock.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use crate::domain::webhooks::WebhookId;

/// Webhooks that are delivered to at the same time.
const PLACES: usize = 128;

/// Of these, the most for receivers that were slow the last time.
const FOR_SLOW: usize = 64;

/// A receiver that takes longer is slow.
const SLOW: Duration = Duration::from_secs(2);

/// Who is being delivered to, and who was slow the last time.
#[derive(Debug, Default)]
pub(super) struct Places {
    /// Whether each was slow before.
    busy: BTreeMap<WebhookId, bool>,
    slow: BTreeSet<WebhookId>,
}

impl Places {
    /// Places that are free.
    pub(super) fn free(&self) -> usize {
        PLACES.saturating_sub(self.busy.len())
    }

    /// Webhooks that are left alone for now: those that are being delivered to, and slow ones while
    /// others like them take up all there is for them.
    pub(super) fn closed(&self) -> Vec<WebhookId> {
        let busy = self.busy.keys().copied();
        let taken = self.busy.values().filter(|slow| **slow).count();
        let slow = self.slow.iter().copied().filter(|_| taken >= FOR_SLOW);
        let closed: BTreeSet<WebhookId> = busy.chain(slow).collect();
        closed.into_iter().collect()
    }

    /// Begins to deliver to a webhook, unless there is no place for one that is slow.
    pub(super) fn begin(&mut self, webhook: WebhookId) -> bool {
        let slow = self.slow.contains(&webhook);
        let taken = self.busy.values().filter(|slow| **slow).count();
        let open = !slow || taken < FOR_SLOW;
        if open {
            self.busy.insert(webhook, slow);
        }
        open
    }

    /// Ends; `took` is how long the slowest delivery took.
    pub(super) fn end(&mut self, webhook: WebhookId, took: Duration) {
        self.busy.remove(&webhook);
        if took > SLOW {
            self.slow.insert(webhook);
        } else {
            self.slow.remove(&webhook);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_delivered_to_once_at_a_time_and_slow_ones_leave_places() {
        let mut places = Places::default();
        let hooks: Vec<WebhookId> = (0..PLACES).map(|_| WebhookId::new()).collect();
        for hook in &hooks {
            assert!(places.begin(*hook));
        }
        assert_eq!((places.free(), places.closed().len()), (0, PLACES));
        for hook in &hooks {
            places.end(*hook, SLOW * 2);
        }
        assert_eq!((places.free(), places.closed().len()), (PLACES, 0));
        let begun = hooks.iter().filter(|hook| places.begin(**hook)).count();
        assert_eq!(begun, FOR_SLOW);
        assert_eq!(places.closed().len(), PLACES, "all of them are slow");
        assert!(places.begin(WebhookId::new()), "a quick one");
        places.end(hooks[0], SLOW / 2);
        assert!(places.begin(hooks[0]) && places.begin(hooks[PLACES - 1]));
    }
}
