//! Settling a horizon from its beginning to its end.
//!
//! Where there is more to do than can be done, every hour is full and no order of turns finds
//! room for whole starts. Walking through the horizon does: starts of one window become whole,
//! those before stay as they were settled, and the rest of the horizon stays fractional, which
//! tells the window what it must leave for later. A window can always do less, so there is a
//! solution at the end.

use super::Search;
use super::near::{Near, Order};
use super::rounds::{Goal, Roll};
use crate::milp::{Known, NoSolution, Program};

/// A window is not made smaller than this many points.
const SMALLEST: usize = 8;

impl Search<'_> {
    /// Settles all tasks, window by window; a window that finds nothing is tried again half as
    /// long.
    pub(super) fn roll(&mut self, roll: Roll) -> Result<(), NoSolution> {
        let near = Near::new(self.net, self.form, Order::Given);
        let points = self.net.points();
        let mut settled = self.relaxed.values.clone();
        let (mut from, mut window) = (0, roll.window);
        while self.stopped.is_none() {
            let until = from + window + window / 3;
            let program = near.window(&settled, from, until, roll.width);
            let goal = Goal {
                enough: f64::INFINITY,
                gap: self.limits.gap * roll.care,
                nodes: roll.nodes,
                share: roll.share,
            };
            let Some(found) = self.attempt(&program, goal, Known::Nothing)? else {
                if window / 2 < SMALLEST {
                    return Ok(());
                }
                window /= 2;
                continue;
            };
            if until >= points {
                self.keep(Some(found));
                return Ok(());
            }
            settled = found.values;
            from += window;
        }
        Ok(())
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
}
