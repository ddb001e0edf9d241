//! The two-way link to a search: progress out, cancellation in.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};

use scheduler::milp::Progress;
use scheduler::plan::Verdict;

use crate::domain::plans::PlanProgress;

/// The two-way link to the search for one plan.
#[derive(Debug, Default)]
pub(super) struct Control {
    /// What the search looks at.
    pub(super) stop: AtomicBool,
    /// Whether nothing else may be searched beside it.
    pub(super) alone: bool,
    /// Whether somebody asked for it, as opposed to the service going down.
    cancelled: AtomicBool,
    progress: Mutex<PlanProgress>,
}

impl Control {
    /// For a search that is alone, or not.
    pub(super) fn new(alone: bool) -> Self {
        Self {
            alone,
            ..Self::default()
        }
    }

    /// Stops the search because somebody asked to.
    pub(super) fn cancel(&self) {
        self.cancelled.store(true, Ordering::SeqCst);
        self.stop.store(true, Ordering::SeqCst);
    }

    /// Stops the search, to be taken up again later.
    pub(super) fn interrupt(&self) {
        self.stop.store(true, Ordering::SeqCst);
    }

    pub(super) fn cancelled(&self) -> bool {
        self.cancelled.load(Ordering::SeqCst)
    }

    pub(super) fn stopped(&self) -> bool {
        self.stop.load(Ordering::SeqCst)
    }

    pub(super) fn progress(&self) -> PlanProgress {
        *self.progress.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Notes how far the search is. A step of it that starts afresh forgets nothing.
    pub(super) fn note(&self, progress: Progress) {
        let mut known = self.progress.lock().unwrap_or_else(PoisonError::into_inner);
        *known = PlanProgress {
            best: progress.best.or(known.best),
            bound: progress.bound.or(known.bound),
            seconds: Some(progress.seconds),
        };
    }

    /// Notes the plan that was found.
    pub(super) fn found(&self, verdict: &Verdict) {
        let mut known = self.progress.lock().unwrap_or_else(PoisonError::into_inner);
        known.best = Some(verdict.worth);
        known.bound = Some(verdict.bound);
    }
}
