//! Adaptive large-neighbourhood search: making a plan better by settling a part of it anew.
//!
//! Each step sets some starts of the incumbent free, keeps all others as they are, and lets the
//! solver settle what is free, and everything that is not counted in whole numbers, from the
//! incumbent on. What is worth more becomes the incumbent. Which starts are free, and how many, is
//! chosen by what has paid (`adaptive`; Ropke & Pisinger, Transportation Science 40:455, 2006) from
//! several kinds of neighbourhoods (`destroy`). That the rest is settled by a solver of mixed-integer
//! programs makes it a relative of local branching (Fischetti & Lodi, Mathematical Programming
//! 98:23, 2003), with the neighbourhood drawn from the network and not from a distance.
//!
//! Several threads take steps with neighbourhoods of their own and share the incumbent. One thread
//! by itself takes the same steps on every machine as long as no time limit cuts in.

mod adaptive;
mod destroy;

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use super::{Limits, Search, gap};
use crate::milp::{
    Formulation, NoSolution, Progress, Settings, Solved, Stop, WarmStart, Watch, solve,
};
pub(super) use adaptive::Adaptive;
use adaptive::Ended;
use destroy::{Ground, Neighborhood};

/// Nodes of each search tree; a count and not a time, so that every machine finds the same.
const NODES: i32 = 300;

/// Times the relaxation's that a step may take, and the seconds it always may, where no number of
/// steps is asked for. A machine that is slow or busy took longer for the relaxation as well.
const PATIENCE: (f64, f64) = (1.5, 2.0);

/// Part of what is still missing to the bound that a step need not look for.
const CARE: f64 = 0.02;

/// Part of the worth below which nothing counts as a gain.
const GAIN: f64 = 1e-7;

/// How long steps are taken.
#[derive(Clone, Copy)]
pub(super) struct Until {
    /// Steps without a gain, one after the other, after which there is no use in more of them.
    pub idle: usize,
}

/// What all threads share.
struct Shared {
    best: Solved,
    better_at: Instant,
    adaptive: Adaptive,
    /// Steps that may still be taken.
    steps: usize,
    idle: usize,
}

/// A large-neighbourhood search under way.
struct Under<'a> {
    form: &'a Formulation,
    ground: Ground<'a>,
    shared: Mutex<Shared>,
    until: Until,
    limits: Limits,
    bound: f64,
    /// Seconds of a step at the most.
    patience: f64,
    began: Instant,
    over: AtomicBool,
}

impl Search<'_> {
    /// Takes steps until the gap is closed, the time over, or there is no use in more.
    pub(super) fn neighborhoods(&mut self, until: Until) -> Result<(), NoSolution> {
        self.steps_with(until, |under, watch| {
            std::thread::scope(|threads| {
                for n in 1..under.limits.threads.max(1) {
                    threads.spawn(move || {
                        // Whatever goes wrong here goes wrong on the first thread as well.
                        let _ = under.walk(n as u64, Watch::quiet(&under.over));
                    });
                }
                let ended = under.walk(0, watch);
                under.over.store(true, Ordering::Relaxed);
                ended
            })
        })
    }

    /// Takes some steps, and keeps what they come to.
    fn steps_with(
        &mut self,
        until: Until,
        steps: impl FnOnce(&Under<'_>, Watch<'_>) -> Result<(), NoSolution>,
    ) -> Result<(), NoSolution> {
        let Some(best) = self.best.clone() else {
            return Ok(());
        };
        let under = Under {
            form: self.form,
            ground: Ground::new(self.net, self.form, &self.relaxed.values),
            shared: Mutex::new(Shared {
                best,
                better_at: self.better_at,
                adaptive: self.adaptive.clone(),
                steps: self.steps_left,
                idle: 0,
            }),
            until,
            limits: self.limits,
            bound: self.bound,
            patience: (self.relaxed.seconds * PATIENCE.0).max(PATIENCE.1),
            began: self.began,
            over: AtomicBool::new(false),
        };
        let report = |p: Progress| self.tell(p.best);
        let watch = Watch {
            cancel: self.watch.cancel,
            progress: &report,
        };
        let ended = steps(&under, watch);
        let shared = under.shared.into_inner();
        let shared = shared.unwrap_or_else(PoisonError::into_inner);
        self.adaptive = shared.adaptive;
        self.steps_left = shared.steps;
        self.keep(Some(shared.best));
        self.better_at = shared.better_at;
        if self.steps_left == 0 {
            self.stopped = Some(Stop::Other);
        }
        self.note(self.watch.cancelled().then_some(Stop::Cancelled));
        ended
    }
}

impl Under<'_> {
    fn shared(&self) -> MutexGuard<'_, Shared> {
        self.shared.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Seconds left; none where more search is not worth its time.
    fn left(&self) -> f64 {
        let shared = self.shared();
        let gap = gap(shared.best.objective, self.bound);
        match gap <= self.limits.gap || shared.steps == 0 || shared.idle >= self.until.idle {
            true => 0.0,
            false => self.limits.left(self.began, (gap, shared.better_at)),
        }
    }

    /// Takes steps until there is no use in more.
    fn walk(&self, thread: u64, watch: Watch<'_>) -> Result<(), NoSolution> {
        let mut random = fastrand::Rng::with_seed(self.seed() + thread);
        while self.left() > 0.0 && !watch.cancelled() {
            let (incumbent, (kind, size)) = {
                let shared = self.shared();
                (shared.best.clone(), shared.adaptive.choose(&mut random))
            };
            let free = self.ground.free(kind, size, &incumbent.values, &mut random);
            self.step(&incumbent, kind, &free, watch)?;
        }
        Ok(())
    }

    /// A number that differs from program to program, and is the same wherever it is searched.
    fn seed(&self) -> u64 {
        let program = &self.form.program;
        ((program.columns.len() as u64) << 32) | program.rows.len() as u64
    }

    /// Settles some starts of the incumbent anew, and tells how good the best is after it.
    fn step(
        &self,
        incumbent: &Solved,
        kind: Neighborhood,
        free: &[usize],
        watch: Watch<'_>,
    ) -> Result<(), NoSolution> {
        let program = &self.form.program;
        let reduced = self.ground.reduced(program, free, &incumbent.values);
        let known = reduced.part(&incumbent.values);
        let own = reduced.program.objective(&known).abs().max(1e-9);
        let missing = (self.bound - incumbent.objective).max(0.0);
        let seconds = match self.limits.steps {
            Some(_) => f64::INFINITY,
            None => self.patience,
        };
        let settings = Settings {
            gap: (missing * CARE / own).clamp(1e-9, 1.0),
            seconds: self.left().min(seconds),
            enough: None,
            nodes: Some(NODES),
        };
        let quiet = Watch::quiet(watch.cancel);
        let known = WarmStart::Solution(&known);
        let (found, ended) = match solve(&reduced.program, settings, known, quiet) {
            Ok(found) => {
                let whole = Solved::known(program, reduced.whole(&found.values));
                (Some(whole), (found.iterations, found.stopped.is_none()))
            }
            // What is known keeps to the rules only within the solver's tolerance.
            Err(NoSolution::Stopped(_) | NoSolution::Infeasible) => (None, (0, false)),
            Err(other) => return Err(other),
        };
        let best = self.learn(kind, found, ended);
        (watch.progress)(Progress {
            seconds: self.began.elapsed().as_secs_f64(),
            best: Some(best),
            bound: Some(self.bound),
        });
        Ok(())
    }

    /// Learns how a step ended; what the best is worth after it.
    fn learn(&self, kind: Neighborhood, found: Option<Solved>, ended: (u64, bool)) -> f64 {
        let mut shared = self.shared();
        let before = shared.best.objective;
        let gain = found.as_ref().map_or(0.0, |found| found.objective - before);
        let counts = gain > GAIN * before.abs();
        let ended = Ended {
            gain: if counts { gain } else { 0.0 },
            iterations: ended.0,
            proven: ended.1,
        };
        shared.adaptive.learn(kind, ended);
        shared.steps -= usize::from(shared.steps > 0);
        shared.idle = if counts { 0 } else { shared.idle + 1 };
        if let Some(found) = found.filter(|_| counts) {
            shared.best = found;
            shared.better_at = Instant::now();
        }
        shared.best.objective
    }
}
