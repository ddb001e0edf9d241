//! The end of the service: within a stated grace, whatever hangs.
//!
//! The first signal begins a stop: what is searched goes back into the queue at once, and answers in
//! hand have the grace. A second signal ends the process where it stands. So does the end of the
//! grace, if something does not look up by then: a database that does not answer, or a solver that is
//! deep in its work.

use std::io::{self, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use std::thread;
use std::time::{Duration, Instant};

use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::{flag, low_level};

use crate::service::Service;

/// How often to look whether a signal came.
const LOOK: Duration = Duration::from_millis(20);

/// What is given beyond the grace to what has begun to end.
const MARGIN: Duration = Duration::from_secs(3);

/// The least that is given to solver threads after the last answer.
const LEAST: Duration = Duration::from_secs(1);

/// A stop that was begun, or will be.
pub(super) struct Ending {
    grace: Duration,
    begun: Arc<OnceLock<Instant>>,
}

/// Listens for signals from now on.
///
/// # Errors
/// If signals cannot be listened to.
pub(super) fn listen(service: Arc<Service>, grace: Duration) -> io::Result<Ending> {
    let begun = Arc::<OnceLock<Instant>>::default();
    let begins = Arc::clone(&begun);
    let told = Arc::new(AtomicBool::new(false));
    for signal in [SIGINT, SIGTERM] {
        // In this order: the first signal arms the second.
        flag::register_conditional_shutdown(signal, 128 + signal, Arc::clone(&told))?;
        flag::register(signal, Arc::clone(&told))?;
    }
    thread::spawn(move || {
        while !told.load(Ordering::SeqCst) {
            thread::sleep(LOOK);
        }
        let _ = begins.set(Instant::now());
        service.jobs.interrupt();
        thread::sleep(grace + MARGIN);
        tracing::error!("the grace is over and something does not end; ending without it");
        now(1);
    });
    Ok(Ending { grace, begun })
}

impl Ending {
    /// What is left of the grace.
    pub(super) fn left(&self) -> Duration {
        let begun = self.begun.get().copied().unwrap_or_else(Instant::now);
        let by = begun + self.grace;
        by.saturating_duration_since(Instant::now()).max(LEAST)
    }

    /// Waits until cancelled runs of the solver have ended, for as long as there is time, and ends
    /// the process without them if need be: they would be using what a usual end takes away.
    pub(super) fn wait_for_runs(&self) {
        if !scheduler::milp::wait_for_runs(self.left()) {
            tracing::warn!("a cancelled search does not look up; ending without it");
            now(0);
        }
    }
}

/// Ends the process where it stands.
fn now(code: i32) -> ! {
    // Nobody may be reading any more.
    let _ = io::stdout().flush();
    low_level::exit(code)
}
