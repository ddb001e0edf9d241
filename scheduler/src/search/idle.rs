//! What is known when time is over and nothing was found.

use super::Search;
use super::near::{Hold, Near, Order};
use crate::milp::{Column, Known, NoSolution, Program, Settings, Solved, Stop, Watch, solve};

/// What is known when not even the relaxation was solved in time: nothing starts, and no solution
/// is worth more than everything at its most.
pub(super) fn out_of_time(program: &Program, seconds: f64) -> Result<Solved, NoSolution> {
    let most = |column: &Column| (column.worth * column.upper).max(column.worth * column.lower);
    let paying = program
        .columns
        .iter()
        .filter(|column| column.worth.abs() > 0.0);
    let bound: f64 = paying.map(most).sum();
    if !bound.is_finite() {
        return Err(NoSolution::Stopped(Stop::Time));
    }
    Ok(Solved {
        bound,
        stopped: Some(Stop::Time),
        seconds,
        ..Solved::known(program, vec![0.0; program.columns.len()])
    })
}

impl Search<'_> {
    /// Nothing was found in time: the plan in which nothing is started that could be left is
    /// still a plan. It takes a moment more than the limit.
    pub(super) fn idle(&mut self) -> Result<(), NoSolution> {
        let nothing = vec![0.0; self.form.program.columns.len()];
        let near = Near::new(self.net, self.form, Order::Given);
        let last = near.turns().last().copied().unwrap_or(0);
        let held = near.held(&nothing, last, Hold::AtMost);
        let least = near.settling(held.clone(), last, &nothing, (0, f64::INFINITY));
        // What must happen, such as throwing away what is too old, may need more room.
        self.first_of([least, held], Settings::default())
    }

    /// Keeps a solution of the first of some programs that has one, whether or not time is over.
    pub(super) fn first_of(
        &mut self,
        programs: [Program; 2],
        settings: Settings,
    ) -> Result<(), NoSolution> {
        let quiet = Watch {
            cancel: self.watch.cancel,
            progress: &|_| {},
        };
        for program in programs {
            match solve(&program, settings, Known::Nothing, quiet) {
                Ok(found) => {
                    self.keep(Some(found));
                    return Ok(());
                }
                Err(NoSolution::Infeasible) => {}
                // The next may have one within the limit that was set.
                Err(NoSolution::Stopped(Stop::Cancelled)) => {
                    self.stopped = Some(Stop::Cancelled);
                    return Ok(());
                }
                Err(NoSolution::Stopped(_)) if settings.nodes.is_some() => {}
                Err(other) => return Err(other),
            }
        }
        Ok(())
    }
}
