//! What is known when time is over and nothing was found.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::Search;
use super::neighborhood::{Hold, Near, Order};
use crate::milp::{
    Formulation, NoSolution, Program, Settings, Solved, Stop, WarmStart, Watch, solve,
};
use crate::network::{Move, Network, ResourceId};

/// Seconds each attempt at a plan may take once time is over.
const PATIENCE_SECONDS: f64 = 5.0;

/// Seconds the bound may take then; it takes a tenth of one.
const BOUND_SECONDS: f64 = 1.0;

/// Points around what must happen in part at which it may happen as a whole.
const ROOM: usize = 2;

/// What is known when not even the relaxation was solved in time: nothing starts, and no solution
/// is worth more than all that is wanted.
pub(super) fn out_of_time(
    net: &Network,
    form: &Formulation,
    seconds: f64,
    watch: Watch<'_>,
) -> Result<Solved, NoSolution> {
    let settings = Settings {
        seconds: BOUND_SECONDS,
        ..Settings::default()
    };
    let quiet = Watch::quiet(watch.cancel);
    let bound = match solve(&given(net, form), settings, WarmStart::Nothing, quiet) {
        Ok(solved) if solved.stopped.is_none() => solved.bound,
        Ok(_) | Err(NoSolution::Stopped(Stop::Time | Stop::Other)) => everything(&form.program)?,
        Err(NoSolution::Unbounded) => return Err(NoSolution::Stopped(Stop::Time)),
        Err(error) => return Err(error),
    };
    Ok(Solved {
        bound,
        stopped: Some(Stop::Time),
        seconds,
        ..Solved::known(&form.program, vec![0.0; form.program.columns.len()])
    })
}

/// What is known of a piece of a horizon without any time: nothing starts. What a piece is worth at
/// the most says nothing of the whole.
pub(super) fn without_time(form: &Formulation) -> Solved {
    Solved {
        bound: everything(&form.program).unwrap_or(f64::INFINITY),
        stopped: Some(Stop::Time),
        ..Solved::known(&form.program, vec![0.0; form.program.columns.len()])
    }
}

/// What all decisions together are worth at the most, whatever the rules say.
fn everything(program: &Program) -> Result<f64, NoSolution> {
    let columns = program.columns.iter();
    let most = columns
        .map(|column| (column.objective * column.upper).max(column.objective * column.lower));
    // A decision that is worth nothing is worth that without end too.
    let sum: f64 = most.filter(|worth| !worth.is_nan()).sum();
    match sum.is_finite() {
        true => Ok(sum),
        false => Err(NoSolution::Stopped(Stop::Time)),
    }
}

/// The program without rules, but for those of what is only given and never made, such as demand:
/// they hardly touch each other.
fn given(net: &Network, form: &Formulation) -> Program {
    let mut made: BTreeSet<ResourceId> = BTreeSet::new();
    for (_, task) in net.tasks() {
        let grows = |change: &&Move| change.per_start > 0.0 || change.per_size > 0.0;
        made.extend(task.moves.iter().filter(grows).map(|c| c.resource));
    }
    let only_given = net.resources().filter(|(id, _)| !made.contains(id));
    let rows = only_given.flat_map(|(id, _)| form.levels(id));
    let rows = rows.map(|level| form.program.rows[level.row].clone());
    Program {
        rows: Arc::new(rows.collect()),
        columns: form.program.columns.clone(),
    }
    .relaxed()
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
        let settings = Settings {
            seconds: PATIENCE_SECONDS,
            ..Settings::default()
        };
        self.first_of([least], settings)?;
        if self.best.is_some() || self.stopped == Some(Stop::Cancelled) {
            return Ok(());
        }
        // What must happen, such as throwing away what is too old, needs more room: near where it
        // happens in part.
        let quiet = Watch::quiet(self.watch.cancel);
        let must = match solve(&held.relaxed(), settings, WarmStart::Nothing, quiet) {
            Ok(must) => must.values,
            Err(NoSolution::Stopped(_) | NoSolution::Infeasible) => return Ok(()),
            Err(other) => return Err(other),
        };
        let nearly = near.settling(held.clone(), last, &must, (ROOM, f64::INFINITY));
        self.first_of([nearly, held], settings)
    }

    /// Keeps a solution of the first of some programs that has one, whether or not time is over.
    pub(super) fn first_of<const N: usize>(
        &mut self,
        programs: [Program; N],
        settings: Settings,
    ) -> Result<(), NoSolution> {
        let quiet = Watch::quiet(self.watch.cancel);
        for program in programs {
            match solve(&program, settings, WarmStart::Nothing, quiet) {
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
                Err(NoSolution::Stopped(_)) => {}
                Err(other) => return Err(other),
            }
        }
        Ok(())
    }
}
