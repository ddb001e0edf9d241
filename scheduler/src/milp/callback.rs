//! Watching a solve: progress out, cancellation in.

use std::cell::Cell;
use std::ffi::{c_char, c_int, c_void};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Sender;

use highs_sys::{
    Highs_setCallback, Highs_startCallback, HighsCallbackDataIn, HighsCallbackDataOut, HighsInt,
    kHighsCallbackIpmInterrupt, kHighsCallbackMipInterrupt, kHighsCallbackSimplexInterrupt,
};

use super::engine::{NoSolution, Stop};
use super::solver_thread::SolverEvent;

/// How far a solve has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Seconds since this solve began.
    pub seconds: f64,
    /// Worth of the best plan so far, if there is one.
    pub best: Option<f64>,
    /// What no plan can exceed, if that is known yet.
    pub bound: Option<f64>,
}

/// Who watches a solve, and may cancel it.
#[derive(Clone, Copy)]
pub struct Watch<'a> {
    /// Set it to stop; the best solution so far is kept.
    pub cancel: &'a AtomicBool,
    /// Called when there is news, on the thread that waits for the solve.
    pub progress: &'a (dyn Fn(Progress) + 'a),
}

/// What a run of the solver is told, and tells.
pub(super) struct Link {
    /// Whether to stop.
    leave: Arc<AtomicBool>,
    /// A worth at which the run may stop.
    enough: f64,
    news: Sender<SolverEvent>,
    /// Best worth and second of the last report.
    last: Cell<(f64, f64)>,
}

/// Seconds between two reports without news.
const QUIET: f64 = 0.25;

impl std::fmt::Debug for Watch<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Watch")
            .field("cancel", self.cancel)
            .finish_non_exhaustive()
    }
}

/// Never cancels and tells nobody.
impl Default for Watch<'_> {
    fn default() -> Self {
        static NEVER: AtomicBool = AtomicBool::new(false);
        Self::quiet(&NEVER)
    }
}

impl<'a> Watch<'a> {
    /// Cancels where it is told to, and tells nobody.
    #[must_use]
    pub fn quiet(cancel: &'a AtomicBool) -> Self {
        Self {
            cancel,
            progress: &|_| {},
        }
    }

    /// Whether somebody asked to stop.
    #[must_use]
    pub fn cancelled(&self) -> bool {
        self.cancel.load(Ordering::Relaxed)
    }

    /// Looks up between two steps of a work that takes a while.
    ///
    /// # Errors
    /// [`NoSolution::Stopped`] if somebody asked to stop.
    pub fn look_up(&self) -> Result<(), NoSolution> {
        match self.cancelled() {
            true => Err(NoSolution::Stopped(Stop::Cancelled)),
            false => Ok(()),
        }
    }
}

impl Link {
    /// A link to a run that stops once it is to leave, or its best worth is `enough`.
    pub(super) fn new(
        leave: Arc<AtomicBool>,
        enough: Option<f64>,
        news: Sender<SolverEvent>,
    ) -> Self {
        Self {
            leave,
            enough: enough.unwrap_or(f64::INFINITY),
            news,
            last: Cell::new((f64::NEG_INFINITY, f64::NEG_INFINITY)),
        }
    }

    /// Has the solver call back here until its run ends.
    ///
    /// # Safety
    /// `highs` must be a live HiGHS instance, and `self` must outlive its run.
    pub(super) unsafe fn attach(&self, highs: *mut c_void) {
        let data = std::ptr::from_ref(self).cast_mut().cast::<c_void>();
        // SAFETY: the caller vouches for `highs`; `called` has the type HiGHS expects, and `data`
        // is only read through while the run lasts.
        unsafe {
            Highs_setCallback(highs, Some(called), data);
            for kind in [
                kHighsCallbackSimplexInterrupt,
                kHighsCallbackIpmInterrupt,
                kHighsCallbackMipInterrupt,
            ] {
                Highs_startCallback(highs, kind);
            }
        }
    }

    /// Tells how far the integer search has come, and says whether that is enough.
    fn heard(&self, out: &HighsCallbackDataOut) -> bool {
        let known = |x: f64| x.is_finite().then_some(x);
        let best = known(out.mip_primal_bound);
        let (told, second) = self.last.get();
        let news = best.is_some_and(|b| b > told);
        if news || out.running_time >= second + QUIET {
            self.last.set((best.unwrap_or(told), out.running_time));
            let progress = Progress {
                seconds: out.running_time,
                best,
                bound: known(out.mip_dual_bound),
            };
            // Nobody may be waiting any more.
            let _ = self.news.send(SolverEvent::Progress(progress));
        }
        best.is_some_and(|b| b >= self.enough)
    }
}

unsafe extern "C" fn called(
    kind: c_int,
    _message: *const c_char,
    out: *const HighsCallbackDataOut,
    into: *mut HighsCallbackDataIn,
    data: *mut c_void,
) {
    // SAFETY: `data` is the `Link` that `attach` was given, alive until the run ends; HiGHS
    // passes pointers that are null or valid during the call.
    let (link, out, into) = unsafe {
        (
            &*data.cast_const().cast::<Link>(),
            out.as_ref(),
            into.as_mut(),
        )
    };
    let mip = HighsInt::from(kind) == kHighsCallbackMipInterrupt;
    let enough = mip && out.is_some_and(|out| link.heard(out));
    if let Some(into) = into.filter(|_| enough || link.leave.load(Ordering::Relaxed)) {
        into.user_interrupt = 1;
    }
}
