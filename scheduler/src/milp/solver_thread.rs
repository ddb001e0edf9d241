//! Running the solver on a thread of its own.
//!
//! The solver looks up from its work now and then, but for seconds it may not: while it simplifies
//! a program, or while it looks into a part of one. Whoever waits for it must be able to leave
//! sooner. Then it goes on alone until it looks up, and what it found is thrown away.

use std::fmt::Display;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::Builder;
use std::time::{Duration, Instant};

use highs::{HighsStatus, Model, SolvedModel};

use super::callback::{Link, Progress, Watch};
use super::engine::{NoSolution, Settings, Stop};
use super::program::Program;

/// How often whoever waits looks whether to go on waiting.
const LOOK_EVERY: Duration = Duration::from_millis(5);

/// How long the solver is given to look up once it is to stop.
const PATIENCE: Duration = Duration::from_millis(60);

/// The same where its time is over: it keeps its limit by itself when it looks up, and may have a
/// solution to bring home.
const PATIENCE_LATE: Duration = Duration::from_millis(1000);

/// A program with more decisions than this takes so much memory that it is not begun while as many
/// runs as this are left behind.
const LARGE: usize = 100_000;
const MOST_LEFT: usize = 2;

/// Runs that are under way, waited for or not.
static UNDER_WAY: AtomicUsize = AtomicUsize::new(0);

/// Those of them that nobody waits for.
static LEFT_BEHIND: AtomicUsize = AtomicUsize::new(0);

/// What comes from a run.
pub(super) enum SolverEvent {
    /// How far it is.
    Progress(Progress),
    /// Its end.
    Over(Result<SendPtr<SolvedModel>, HighsStatus>),
}

/// Something of the solver on its way from one thread to another.
#[derive(Debug)]
pub(super) struct SendPtr<T>(T);

// SAFETY: an instance of the solver is bound to no thread. It is used on one at a time, since
// being moved is all that happens to it here.
unsafe impl<T> Send for SendPtr<T> {}

/// Runs of the solver that are under way in this process, waited for or not.
///
/// ```
/// println!("{} runs", scheduler::milp::runs_under_way());
/// ```
#[must_use]
pub fn runs_under_way() -> usize {
    UNDER_WAY.load(Ordering::SeqCst)
}

/// Runs of the solver that go on although nobody waits for them: each burns a processor, and keeps
/// its memory, until the solver looks up.
///
/// ```
/// use scheduler::milp::{runs_left_behind, runs_under_way};
/// println!("{} of {} runs are of no use", runs_left_behind(), runs_under_way());
/// ```
#[must_use]
pub fn runs_left_behind() -> usize {
    LEFT_BEHIND.load(Ordering::SeqCst)
}

/// Waits until no run of the solver is under way, and says whether that is so.
///
/// A run that was cancelled may still go on for a moment. A program that ends meanwhile would take
/// away what the run works with.
#[must_use]
pub fn wait_for_runs(at_most: Duration) -> bool {
    let began = Instant::now();
    while UNDER_WAY.load(Ordering::SeqCst) > 0 {
        if began.elapsed() >= at_most {
            return false;
        }
        std::thread::sleep(LOOK_EVERY);
    }
    true
}

/// Waits until so few runs are left behind that a program may be begun. Whoever asks for large
/// things and does not wait for them would fill the memory otherwise.
pub(super) fn wait_for_room(
    program: &Program,
    settings: Settings,
    watch: Watch<'_>,
) -> Result<(), NoSolution> {
    let began = Instant::now();
    loop {
        watch.look_up()?;
        if program.columns.len() <= LARGE || runs_left_behind() < MOST_LEFT {
            return Ok(());
        }
        if began.elapsed().as_secs_f64() >= settings.seconds {
            return Err(NoSolution::Stopped(Stop::Time));
        }
        std::thread::sleep(LOOK_EVERY);
    }
}

/// Runs the solver, and leaves it where the watch is cancelled, or its time is long over, and it
/// does not look up.
pub(super) fn run(
    model: Model,
    settings: Settings,
    watch: Watch<'_>,
) -> Result<SolvedModel, NoSolution> {
    let leave = Arc::new(AtomicBool::new(false));
    let (news, heard) = mpsc::channel();
    let link = Link::new(Arc::clone(&leave), settings.enough, news.clone());
    let moved = SendPtr(model);
    let waited = Waited::new();
    let counted = Counted::new(&waited);
    Builder::new()
        .name("solver".to_owned())
        .spawn(move || {
            solve(moved, &link, &news);
            drop(counted);
        })
        .map_err(|error| failed(&error))?;
    let began = Instant::now();
    let limit = Duration::try_from_secs_f64(settings.seconds.max(0.0)).unwrap_or(Duration::MAX);
    let last = limit.saturating_add(PATIENCE_LATE);
    let mut told = None;
    loop {
        match heard.recv_timeout(LOOK_EVERY) {
            Ok(SolverEvent::Progress(progress)) => (watch.progress)(progress),
            Ok(SolverEvent::Over(end)) => {
                waited.for_long_enough();
                return end
                    .map(|solved| solved.0)
                    .map_err(|status| failed(&format!("{status:?}")));
            }
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => return Err(failed(&"its thread went away")),
        }
        if watch.cancelled() {
            leave.store(true, Ordering::Relaxed);
            if told.get_or_insert_with(Instant::now).elapsed() >= PATIENCE {
                return Err(NoSolution::Stopped(Stop::Cancelled));
            }
        } else if began.elapsed() >= last {
            leave.store(true, Ordering::Relaxed);
            return Err(NoSolution::Stopped(Stop::Time));
        }
    }
}

fn solve(SendPtr(mut model): SendPtr<Model>, link: &Link, news: &Sender<SolverEvent>) {
    // SAFETY: the model is alive until its run ends below, and so is `link`.
    unsafe { link.attach(model.as_mut_ptr()) };
    // Nobody may be waiting any more.
    let _ = news.send(SolverEvent::Over(model.try_solve().map(SendPtr)));
}

fn failed(what: &dyn Display) -> NoSolution {
    NoSolution::Failed(what.to_string())
}

/// A run is waited for; once this is gone nobody does, and what goes on is left behind.
struct Waited(Arc<Mutex<State>>);

/// Counts a run for as long as it is under way.
struct Counted(Arc<Mutex<State>>);

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Waited,
    Left,
    Over,
}

impl Waited {
    fn new() -> Self {
        Self(Arc::new(Mutex::new(State::Waited)))
    }

    /// The run has told its end: its thread is gone in a moment.
    fn for_long_enough(&self) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = State::Over;
    }
}

impl Drop for Waited {
    fn drop(&mut self) {
        let mut state = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if *state == State::Waited {
            *state = State::Left;
            LEFT_BEHIND.fetch_add(1, Ordering::SeqCst);
        }
    }
}

impl Counted {
    fn new(waited: &Waited) -> Self {
        UNDER_WAY.fetch_add(1, Ordering::SeqCst);
        Self(Arc::clone(&waited.0))
    }
}

impl Drop for Counted {
    fn drop(&mut self) {
        let mut state = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if *state == State::Left {
            LEFT_BEHIND.fetch_sub(1, Ordering::SeqCst);
        }
        *state = State::Over;
        UNDER_WAY.fetch_sub(1, Ordering::SeqCst);
    }
}
