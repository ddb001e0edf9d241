//! Plans of several scenarios, made side by side on so many threads.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread::{self, Builder, ScopedJoinHandle};
use std::time::{Duration, Instant};

use crate::answer::{NoAnswer, plan};
use crate::check::Checked;
use crate::milp::{Progress, Stop, Watch};
use crate::plan::Plan;
use crate::search::Limits;

/// How often whoever waits looks whether to go on.
const LOOK_EVERY: Duration = Duration::from_millis(5);

/// What comes from a thread.
enum SolverEvent {
    /// How far the plan of the first scenario is.
    Progress(Progress),
    /// The plan of a scenario, or why there is none.
    Made(usize, Result<Box<Plan>, NoAnswer>),
}

/// What the threads share.
struct Shared<'a> {
    scenarios: &'a [Checked],
    limits: Limits,
    /// The scenario that is planned next.
    next: AtomicUsize,
    /// Whether to stop: somebody asked to, or one of the plans cannot be made.
    stop: AtomicBool,
}

/// Plans every scenario, at most `limits.threads` at once. The plans share nothing, so they are the
/// same whatever that number is.
///
/// # Errors
/// [`NoAnswer`] of the first plan that cannot be made; the others are given up then.
pub(super) fn side_by_side(
    scenarios: &[Checked],
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Vec<Plan>, NoAnswer> {
    let shared = Shared {
        scenarios,
        limits: Limits {
            threads: 1,
            ..limits
        },
        next: AtomicUsize::new(0),
        stop: AtomicBool::new(false),
    };
    let at_once = limits.threads.clamp(1, scenarios.len().max(1));
    let (sender, receiver) = mpsc::channel();
    thread::scope(|scope| {
        let begin = |_| {
            let (shared, sender) = (&shared, sender.clone());
            let named = Builder::new().name("what if".to_owned());
            named.spawn_scoped(scope, move || work(shared, &sender))
        };
        let begun: Result<Vec<ScopedJoinHandle<'_, ()>>, _> = (0..at_once).map(begin).collect();
        drop(sender);
        let running = begun.map_err(|error| {
            shared.give_up();
            NoAnswer::Solver(error.to_string())
        })?;
        let made = gathered(&shared, &receiver, watch);
        let ended = running.into_iter().map(ScopedJoinHandle::join);
        match ended.filter(Result::is_err).count() {
            0 => made,
            _ => Err(NoAnswer::Solver("a thread failed".to_owned())),
        }
    })
}

/// Makes plans as long as there are scenarios.
fn work(shared: &Shared<'_>, sender: &Sender<SolverEvent>) {
    loop {
        let n = shared.next.fetch_add(1, Ordering::Relaxed);
        let Some(scenario) = shared.scenarios.get(n) else {
            return;
        };
        let told = |progress: Progress| {
            if n == 0 {
                // Nobody may be listening any more.
                let _ = sender.send(SolverEvent::Progress(progress));
            }
        };
        let watch = Watch {
            cancel: &shared.stop,
            progress: &told,
        };
        let made = plan(scenario, shared.limits, watch).map(Box::new);
        if sender.send(SolverEvent::Made(n, made)).is_err() {
            return;
        }
    }
}

/// Waits for the plans, tells how far they are, and stops them all where one cannot be made or
/// somebody asks to.
fn gathered(
    shared: &Shared<'_>,
    news: &Receiver<SolverEvent>,
    watch: Watch<'_>,
) -> Result<Vec<Plan>, NoAnswer> {
    let began = Instant::now();
    let mut made: Vec<Option<Plan>> = vec![None; shared.scenarios.len()];
    let mut failed: Option<NoAnswer> = None;
    loop {
        match news.recv_timeout(LOOK_EVERY) {
            Ok(SolverEvent::Progress(progress)) => (watch.progress)(Progress {
                seconds: began.elapsed().as_secs_f64(),
                ..progress
            }),
            Ok(SolverEvent::Made(n, Ok(plan))) => made[n] = Some(*plan),
            Ok(SolverEvent::Made(_, Err(error))) => {
                shared.give_up();
                // The others fail because they are stopped; what comes first says why.
                failed.get_or_insert(error);
            }
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => break,
        }
        if watch.cancelled() {
            shared.give_up();
        }
    }
    let whole: Option<Vec<Plan>> = made.into_iter().collect();
    whole.ok_or_else(|| failed.unwrap_or(NoAnswer::Stopped(Stop::Cancelled)))
}

impl Shared<'_> {
    fn give_up(&self) {
        self.stop.store(true, Ordering::Relaxed);
        self.next.fetch_max(self.scenarios.len(), Ordering::Relaxed);
    }
}
