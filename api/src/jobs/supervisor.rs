//! Starts a thread again that has died, and says so.
//!
//! No thread of the service should ever end before the service does. Where one does, by a bug, it is
//! started anew: at once the first time, and later and later if that does not help. A thread that
//! keeps dying is told of by `/readyz`.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use super::Shared;
use crate::metrics;

/// The first pause; it doubles with every further death.
const PAUSE: Duration = Duration::from_secs(1);

/// The longest pause.
const LONGEST: Duration = Duration::from_secs(60);

/// A thread that has lived so long is well.
const WELL: Duration = Duration::from_secs(120);

/// So many deaths, each soon after the last, are trouble.
const TROUBLE: u32 = 3;

/// How often a thread has died in a row, and when last.
#[derive(Debug, Default)]
struct Deaths(Mutex<(u32, Option<Instant>)>);

impl Deaths {
    /// One more, after a life of so long; how many there were before it in a row.
    fn count(&self, lived: Duration) -> u32 {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let before = if lived >= WELL { 0 } else { known.0 };
        *known = (before.saturating_add(1), Some(Instant::now()));
        before
    }

    /// How many there were in a row, if the last was not long ago.
    fn lately(&self) -> u32 {
        let known = *self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let late = known.1.is_some_and(|last| last.elapsed() < WELL);
        if late { known.0 } else { 0 }
    }
}

/// A thread that is started again when it dies.
#[derive(Debug)]
pub(super) struct Supervised {
    name: &'static str,
    deaths: Arc<Deaths>,
    thread: Mutex<Option<JoinHandle<()>>>,
}

impl Supervised {
    /// Starts a thread that does its work until the service stops.
    pub(super) fn start(
        shared: &Arc<Shared>,
        name: &'static str,
        work: impl Fn(&Shared) + Send + 'static,
    ) -> Self {
        let deaths = Arc::<Deaths>::default();
        let (shared, counted) = (Arc::clone(shared), Arc::clone(&deaths));
        let thread = thread::spawn(move || watch(&shared, name, &counted, &work));
        Self {
            name,
            deaths,
            thread: Mutex::new(Some(thread)),
        }
    }

    /// What is wrong with it, if it keeps dying.
    pub(super) fn trouble(&self) -> Option<String> {
        let ended = {
            let thread = self.thread.lock().unwrap_or_else(PoisonError::into_inner);
            thread.as_ref().is_none_or(JoinHandle::is_finished)
        };
        let name = self.name;
        if ended {
            return Some(format!("the {name} thread has ended; restart the service"));
        }
        let deaths = self.deaths.lately();
        (deaths >= TROUBLE).then(|| format!("the {name} thread has died {deaths} times in a row"))
    }

    /// Waits for its end, until an instant at the latest; whether it has ended.
    pub(super) fn join(&self, by: Instant) -> bool {
        let mut thread = self.thread.lock().unwrap_or_else(PoisonError::into_inner);
        while thread.as_ref().is_some_and(|t| !t.is_finished()) {
            if Instant::now() >= by {
                return false;
            }
            thread::sleep(Duration::from_millis(5));
        }
        if thread.take().is_some_and(|t| t.join().is_err()) {
            tracing::error!(name = self.name, "a thread had panicked");
        }
        true
    }
}

/// Does the work again and again, until the service stops.
fn watch(shared: &Shared, name: &'static str, deaths: &Deaths, work: &dyn Fn(&Shared)) {
    while !shared.stopping() {
        let begun = Instant::now();
        let ended = catch_unwind(AssertUnwindSafe(|| work(shared)));
        if shared.stopping() {
            return;
        }
        let before = deaths.count(begun.elapsed());
        let panicked = ended.is_err();
        tracing::error!(name, panicked, "a thread has died and is started again");
        metrics::thread_died(name);
        rest(shared, pause(before));
    }
}

/// How long to wait after so many deaths before this one.
fn pause(before: u32) -> Duration {
    match before {
        0 => Duration::ZERO,
        n => PAUSE.saturating_mul(1 << (n - 1).min(10)).min(LONGEST),
    }
}

/// Waits, but no longer than the service runs.
fn rest(shared: &Shared, pause: Duration) {
    let until = Instant::now() + pause;
    while !shared.stopping() && Instant::now() < until {
        thread::sleep(Duration::from_millis(20));
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicU32, Ordering};

    use super::*;
    use crate::settings::Settings;
    use crate::storage::tests::fresh;

    #[test]
    fn a_thread_that_dies_is_started_again_and_told_of_if_it_keeps_dying() {
        let (_dir, store) = fresh();
        let shared = Arc::new(Shared::new(store, &Settings::default()));
        let lives = Arc::new(AtomicU32::new(0));
        let counted = Arc::clone(&lives);
        let supervised = Supervised::start(&shared, "test", move |_| {
            counted.fetch_add(1, Ordering::SeqCst);
            panic!("as a bug would");
        });
        let begun = Instant::now();
        while lives.load(Ordering::SeqCst) < TROUBLE || supervised.trouble().is_none() {
            assert!(begun.elapsed() < Duration::from_secs(60), "it stays dead");
            thread::sleep(Duration::from_millis(10));
        }
        let told = supervised.trouble().unwrap();
        assert!(told.contains("test thread"), "{told}");
        shared.stop();
        assert!(supervised.join(Instant::now() + Duration::from_secs(60)));
    }

    #[test]
    fn pauses_grow_up_to_a_minute() {
        assert_eq!(pause(0), Duration::ZERO);
        assert_eq!(pause(1), Duration::from_secs(1));
        assert_eq!(pause(3), Duration::from_secs(4));
        assert_eq!(pause(u32::MAX), LONGEST);
    }
}
