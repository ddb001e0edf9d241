//! Settling a horizon from its beginning to its end.
//!
//! Where there is more to do than can be done, every hour is full and no order of turns finds
//! room for whole starts. Walking through the horizon does: starts of one window become whole,
//! those before stay as they were settled, and the rest of the horizon stays fractional, which
//! tells the window what it must leave for later. A window can always do less, so there is a
//! solution at the end.

use std::ops::Range;

use super::Search;
use super::neighborhood::{Near, Order};
use super::rounds::{Roll, StopCriteria};
use crate::milp::{NoSolution, Program, Settings, WarmStart};

/// A window is not made smaller than this many points.
const SMALLEST: usize = 8;

/// Seconds an end may take where time is over on the way.
const LAST_SECONDS: f64 = 20.0;

impl Search<'_> {
    /// Settles all tasks, window by window; a window that finds nothing is tried again half as
    /// long. If time is over on the way and there is no other plan, what is settled is kept, and
    /// little is done after it.
    pub(super) fn roll(&mut self, roll: Roll) -> Result<(), NoSolution> {
        let (settled, from) = self.walk(roll)?;
        let span = Near::new(self.net, self.form, Order::Given).span();
        let on_the_way = (span.start + 1..span.end).contains(&from);
        if on_the_way && self.best.is_none() {
            self.end(roll, &settled, from)?;
        }
        Ok(())
    }

    /// Walks through the horizon: what is settled, and up to which point.
    fn walk(&mut self, roll: Roll) -> Result<(Vec<f64>, usize), NoSolution> {
        let near = Near::new(self.net, self.form, Order::Given);
        let Range {
            start: first,
            end: points,
        } = near.span();
        let mut settled = self.relaxed.values.clone();
        let (mut from, mut window) = (first, roll.window);
        while self.stopped.is_none() {
            let until = from + window + window / 3;
            let program = near.window(&settled, from, until, roll.width);
            let goal = StopCriteria {
                enough: f64::INFINITY,
                gap: self.limits.gap * roll.care,
                nodes: roll.nodes,
                share: roll.share,
            };
            let Some(found) = self.attempt(&program, goal, WarmStart::Nothing)? else {
                if window / 2 < SMALLEST {
                    break;
                }
                window /= 2;
                continue;
            };
            if until >= points {
                self.keep(Some(found));
                return Ok((settled, points));
            }
            settled = found.values;
            from += window;
        }
        Ok((settled, from))
    }

    /// Ends a plan one window after `from`: nothing is started after it, or, if that cannot be,
    /// only what is settled last, such as throwing away what is too old.
    fn end(&mut self, roll: Roll, settled: &[f64], from: usize) -> Result<(), NoSolution> {
        let near = Near::new(self.net, self.form, Order::Given);
        let until = from + roll.window;
        let window = near.window(settled, from, until, roll.width);
        let last = near.turns().last().copied().unwrap_or(0);
        let settings = Settings {
            gap: self.limits.gap,
            seconds: LAST_SECONDS,
            enough: None,
            nodes: Some(roll.nodes),
        };
        let closed = [u8::MAX, last].map(|turns| {
            let mut program = window.clone();
            near.close(&mut program, until, turns);
            program
        });
        self.first_of(closed, settings)
    }
}

impl Near<'_> {
    /// The program in which starts before `from` are as in `settled`, starts up to `until` are
    /// whole, and later ones are not; all of them near those of `settled`.
    fn window(&self, settled: &[f64], from: usize, until: usize, width: usize) -> Program {
        let mut program = self.program().clone();
        for (id, _) in self.whole_tasks() {
            self.restrict(&mut program, id, settled, width);
            for (t, n) in self.columns(id) {
                let column = &mut program.columns[n];
                if t < from {
                    column.lower = settled[n].round();
                    column.upper = column.lower;
                }
                column.whole = t >= from && t < until;
            }
        }
        program
    }

    /// Lets nothing of turns before `turns` start from a point on; what may start is whole.
    fn close(&self, program: &mut Program, point: usize, turns: u8) {
        for (id, _) in self.whole_tasks() {
            let last = self.turn(id) >= turns;
            for (t, n) in self.columns(id) {
                if t < point {
                    continue;
                }
                let column = &mut program.columns[n];
                if !last {
                    column.upper = column.lower.max(0.0);
                    if let Some(size) = self.size(id, t) {
                        program.columns[size].upper = 0.0;
                    }
                } else {
                    column.whole = true;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::rounds::ROLL;
    use super::super::{Limits, Search, demo_week};
    use crate::milp::Watch;

    #[test]
    fn a_walk_that_ends_early_leaves_a_plan_for_the_days_it_came_through() {
        let (soda, form) = demo_week();
        let limits = Limits::default();
        let mut search = Search::start(&soda.net, &form, limits, Watch::default()).unwrap();
        search.idle().unwrap();
        let idle = search.best.take().unwrap().objective;
        let settled = search.relaxed.values.clone();
        search.end(ROLL, &settled, 0).unwrap();
        let first_day = search.best.take().unwrap();
        assert!(first_day.objective > idle, "{} {idle}", first_day.objective);
        assert_eq!(form.program.broken(&first_day.values, 1e-5), None);
    }
}
