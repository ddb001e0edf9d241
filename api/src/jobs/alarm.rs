//! Wakes threads that have nothing to do.

use std::sync::{Condvar, Mutex, PoisonError};
use std::time::Duration;

/// Rung when there may be something to do.
#[derive(Debug, Default)]
pub(super) struct Alarm {
    rings: Mutex<u64>,
    bell: Condvar,
}

impl Alarm {
    pub(super) fn ring(&self) {
        *self.rings.lock().unwrap_or_else(PoisonError::into_inner) += 1;
        self.bell.notify_all();
    }

    /// How often it has rung; to be asked before looking for something to do.
    pub(super) fn heard(&self) -> u64 {
        *self.rings.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits until it rings again after `heard`, or for a while.
    pub(super) fn wait(&self, heard: u64, most: Duration) {
        let rings = self.rings.lock().unwrap_or_else(PoisonError::into_inner);
        // Woken or not, the caller looks again; a poisoned counter is still a counter.
        let _ = self.bell.wait_timeout_while(rings, most, |rings| *rings == heard);
    }
}
