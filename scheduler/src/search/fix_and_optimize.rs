//! Making what was found better, a window at a time.
//!
//! Everything outside a window stays as it is; inside, all tasks are settled together and anew. A
//! window is small enough for that, and what it gains the others keep. Windows overlap by half, and
//! it goes on as long as a walk through the horizon gains something.

use std::sync::atomic::{AtomicBool, Ordering};

use super::{Search, gap};
use crate::milp::{
    After, Formulation, NoSolution, Settings, Solved, Stop, WarmStart, Watch, solve,
};

/// Points of a window: four days of half hours. Two days gain nothing.
const WINDOW: usize = 192;

/// Nodes of each search tree.
const NODES: i32 = 1000;

/// Gap at which a window is as good as it gets, as a part of its own worth.
const GAP: f64 = 1e-5;

/// Part of the time left that one window may take, and the seconds it always may.
const SHARE: (f64, f64) = (0.1, 2.0);

/// Part of the worth that a walk must gain for another.
const GAIN: f64 = 1e-5;

/// Windows of one walk.
pub(super) fn in_a_walk(points: usize) -> usize {
    starts(points).count()
}

/// Where the windows of a walk begin.
fn starts(points: usize) -> impl Iterator<Item = usize> {
    (0..points.saturating_sub(WINDOW / 2)).step_by(WINDOW / 2)
}

/// Walks through the horizon, as long as `left` says that there are seconds left.
pub(super) fn improve(
    form: &Formulation,
    points: usize,
    best: &mut Solved,
    cancel: &AtomicBool,
    left: &dyn Fn(&Solved) -> f64,
) -> Result<(), NoSolution> {
    if points <= WINDOW {
        return Ok(());
    }
    loop {
        let before = best.objective;
        for from in starts(points) {
            let left = left(best);
            if left <= 0.0 || cancel.load(Ordering::Relaxed) {
                return Ok(());
            }
            let seconds = (left * SHARE.0).max(left.min(SHARE.1));
            if let Some(found) = window(form, from, best, seconds, cancel)? {
                *best = found;
            }
        }
        if best.objective <= before + GAIN * before.abs() {
            return Ok(());
        }
    }
}

/// Settles one window anew; none where that is worth no more.
fn window(
    form: &Formulation,
    from: usize,
    best: &Solved,
    seconds: f64,
    cancel: &AtomicBool,
) -> Result<Option<Solved>, NoSolution> {
    let slice = form.slice(&(from..from + WINDOW), &best.values, After::Settled);
    // A piece of a long horizon holds nothing of the rest of it.
    if slice.form.program.columns.is_empty() {
        return Ok(None);
    }
    let known = slice.part(&best.values);
    let settings = Settings {
        gap: GAP,
        seconds,
        enough: None,
        nodes: Some(NODES),
    };
    let quiet = Watch::quiet(cancel);
    let known = WarmStart::Solution(&known);
    match solve(&slice.form.program, settings, known, quiet) {
        Ok(found) => {
            let mut values = best.values.clone();
            slice.put(&found.values, &mut values);
            let found = Solved::known(&form.program, values);
            Ok((found.objective > best.objective).then_some(found))
        }
        // What is known keeps to the rules only within the solver's tolerance.
        Err(NoSolution::Stopped(_) | NoSolution::Infeasible) => Ok(None),
        Err(other) => Err(other),
    }
}

impl Search<'_> {
    /// Walks through the horizon until the gap is closed, the time over, or nothing is gained.
    pub(super) fn improve(&mut self) -> Result<(), NoSolution> {
        // Whole worths grow in steps that no window has room for.
        if self.limits.whole_worth {
            return Ok(());
        }
        let Some(mut best) = self.best.take() else {
            return Ok(());
        };
        let left = |best: &Solved| {
            self.tell(Some(best.objective));
            let good = gap(best.objective, self.bound) <= self.limits.gap;
            let over = good || self.stopped.is_some() || self.watch.cancelled();
            if over { 0.0 } else { self.left() }
        };
        let cancel = self.watch.cancel;
        let walked = improve(self.form, self.net.points(), &mut best, cancel, &left);
        self.keep(Some(best));
        let cancelled = self.watch.cancelled().then_some(Stop::Cancelled);
        self.note(cancelled);
        walked
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::search::{Limits, demo_week, search};

    #[test]
    fn what_is_done_without_need_is_left_out() {
        let (soda, form) = demo_week();
        let limits = Limits {
            gap: 0.9999,
            seconds: 0.0,
            ..Limits::default()
        };
        let idle = search(&soda.net, &form, limits, Watch::default()).unwrap();
        let mut best = Solved::known(&form.program, idle.values);
        let (before, points) = (best.objective, soda.net.points());
        let cancel = AtomicBool::new(false);
        // Nothing is started in it: a window can only do better.
        let once = |best: &Solved| {
            if best.objective > before + 1.0 {
                0.0
            } else {
                600.0
            }
        };
        improve(&form, points, &mut best, &cancel, &once).unwrap();
        assert!(best.objective > before + 1.0, "{before} {}", best.objective);
        assert!(form.program.broken(&best.values, 1e-5).is_none());
        let none = |_: &Solved| 0.0;
        let same = best.clone();
        improve(&form, points, &mut best, &cancel, &none).unwrap();
        assert_eq!(best, same);
    }
}
