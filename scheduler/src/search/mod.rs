//! Finding a good plan quickly and proving how good it is.
//!
//! The relaxation of these networks is tight: what it starts, and when, is nearly what the best
//! plan starts. So the search
//!
//! 1. solves the relaxation, which gives the bound and shows where tasks start;
//! 2. settles tasks turn by turn: those of one turn as whole numbers, with the turns before as
//!    settled and the turns after still fractional, all near where the relaxation starts them;
//! 3. widens "near" while the gap to the bound is open and time is left, and in the end settles
//!    all turns together, first near the relaxation, then anywhere.
//!
//! For soda the turns are: what is tapped, what is boiled, everything else.
//!
//! Where more is wanted than can be made, what is tapped cannot be settled first: too little of it
//! can be followed. A wide gap tells. Then what is boiled is settled first, and if that does not
//! help the horizon is settled from its beginning to its end (`rolling`).

mod found;
mod idle;
mod near;
mod rolling;
mod rounds;

use std::time::Instant;

use crate::milp::{Formulation, Known, NoSolution, Program, Progress, Settings, Solved, Stop};
use crate::milp::{Watch, solve};
use crate::network::Network;

pub use found::{Found, Limits, gap};

use idle::out_of_time;
use near::{Hold, Near, Order};
use rounds::{EVERYTHING, Goal, ROLL, ROUNDS, Reach, TOGETHER, WIDE, part_of_gap};

/// Searches the program of a network.
///
/// # Errors
/// [`NoSolution`] if there is none, or none was found before the search was stopped.
pub fn search(
    net: &Network,
    form: &Formulation,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Found, NoSolution> {
    search_from(net, form, None, limits, watch)
}

/// Searches the program of a network, starting from a solution that is known.
///
/// # Errors
/// [`NoSolution`] if there is none, or none was found before the search was stopped.
pub fn search_from(
    net: &Network,
    form: &Formulation,
    known: Option<Vec<f64>>,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Found, NoSolution> {
    let mut search = Search::start(net, form, limits, watch)?;
    search.keep(known.map(|values| Solved::known(&form.program, values)));
    search.rounds()?;
    if search.best.is_none() && !watch.cancelled() {
        search.idle()?;
    }
    search.finish()
}

/// A search under way.
struct Search<'a> {
    net: &'a Network,
    form: &'a Formulation,
    limits: Limits,
    watch: Watch<'a>,
    relaxed: Solved,
    /// What no solution can exceed.
    bound: f64,
    best: Option<Solved>,
    stopped: Option<Stop>,
    began: Instant,
}

impl<'a> Search<'a> {
    fn start(
        net: &'a Network,
        form: &'a Formulation,
        limits: Limits,
        watch: Watch<'a>,
    ) -> Result<Self, NoSolution> {
        let began = Instant::now();
        let settings = Settings {
            seconds: limits.seconds,
            ..Settings::default()
        };
        let relaxed = match solve(&form.program.relaxed(), settings, Known::Nothing, watch) {
            Ok(solved) if solved.stopped.is_none() => solved,
            Ok(Solved {
                stopped: Some(Stop::Time),
                ..
            })
            | Err(NoSolution::Stopped(Stop::Time)) => out_of_time(&form.program, limits.seconds)?,
            Ok(solved) => return Err(NoSolution::Stopped(solved.stopped.unwrap_or(Stop::Other))),
            Err(error) => return Err(error),
        };
        let mut search = Self {
            net,
            form,
            limits,
            watch,
            bound: f64::INFINITY,
            best: None,
            stopped: relaxed.stopped,
            began,
            relaxed,
        };
        search.lower_bound(search.relaxed.bound);
        search.tell(None);
        Ok(search)
    }

    /// Seconds since it began: making programs takes time too, not only solving them.
    fn spent(&self) -> f64 {
        self.began.elapsed().as_secs_f64()
    }

    /// Seconds left.
    fn left(&self) -> f64 {
        self.limits.seconds - self.spent()
    }

    fn done(&self) -> bool {
        let good = |b: &Solved| gap(b.worth, self.bound) <= self.limits.gap;
        self.stopped.is_some() || self.best.as_ref().is_some_and(good)
    }

    /// Goes from narrow and quick to wide and slow, until the gap is closed or the time is over.
    fn rounds(&mut self) -> Result<(), NoSolution> {
        for reach in ROUNDS {
            let fits = match reach.order {
                Order::Given => reach.first || !self.gap_is_wide(),
                Order::SecondFirst => self.gap_is_wide(),
            };
            if fits && !self.done() {
                self.round(reach)?;
            }
            if reach.first && self.gap_is_wide() {
                self.roll(ROLL)?;
            }
        }
        if !self.done() {
            self.together()?;
        }
        if !self.done() {
            self.everything()?;
        }
        Ok(())
    }

    /// Whether what was found is far from the bound, or nothing was: then there is more to do than
    /// can be done.
    fn gap_is_wide(&self) -> bool {
        let near = |best: &Solved| gap(best.worth, self.bound) <= WIDE;
        !self.best.as_ref().is_some_and(near)
    }

    /// Settles tasks turn by turn, near the relaxation's starts.
    fn round(&mut self, reach: Reach) -> Result<(), NoSolution> {
        let mut settled = self.relaxed.values.clone();
        let near = Near::new(self.net, self.form, reach.order);
        let turns = near.turns();
        for (n, &turn) in turns.iter().enumerate() {
            let guide = if n > 0 && reach.look_again {
                self.relaxed_after(&near, &settled, turn, self.goal(reach, turns.len(), n))?
            } else {
                None
            };
            let guide = guide.as_deref().unwrap_or(&settled);
            let found = self.turn(&near, reach, (n, turn, turns.len()), &settled, guide)?;
            let Some(found) = found else {
                return Ok(());
            };
            // Then later turns would only lose more, slowly; another order may lose less.
            if reach.first && n == 0 && turns.len() > 1 && gap(found.worth, self.bound) > WIDE {
                return Ok(());
            }
            settled.clone_from(&found.values);
            if n + 1 == turns.len() {
                self.keep(Some(found));
            }
        }
        Ok(())
    }

    /// Where the relaxation starts tasks once the turns before `turn` are settled.
    fn relaxed_after(
        &mut self,
        near: &Near<'_>,
        settled: &[f64],
        turn: u8,
        goal: Goal,
    ) -> Result<Option<Vec<f64>>, NoSolution> {
        let held = near.held(settled, turn, Hold::Exactly);
        let found = self.attempt(&held.relaxed(), goal, Known::Nothing)?;
        Ok(found.map(|solved| solved.values))
    }

    /// Settles the tasks of one turn.
    fn turn(
        &mut self,
        near: &Near<'_>,
        reach: Reach,
        (n, turn, turns): (usize, u8, usize),
        settled: &[f64],
        guide: &[f64],
    ) -> Result<Option<Solved>, NoSolution> {
        let goal = self.goal(reach, turns, n);
        for hold in [Hold::Exactly, Hold::AtMost] {
            let held = near.held(settled, turn, hold);
            let program = near.settling(held, turn, guide, (reach.width, reach.within));
            let found = self.attempt(&program, goal, Known::Nothing)?;
            // Earlier turns may ask for more than whole kegs and hands can follow: then let them
            // have less.
            if found.is_some() || n == 0 || self.stopped.is_some() {
                return Ok(found);
            }
        }
        Ok(None)
    }

    /// What an attempt in turn `n` aims for: earlier turns leave some of the gap to later ones.
    fn goal(&self, reach: Reach, turns: usize, n: usize) -> Goal {
        let gap = self.limits.gap.max(reach.gap) * part_of_gap(turns, n);
        Goal {
            enough: self.bound - self.bound.abs() * gap,
            gap: gap * reach.care,
            nodes: reach.nodes,
            share: reach.share,
        }
    }

    /// Settles all turns together, near the relaxation's starts: slower, but what is settled
    /// first no longer ties what follows.
    fn together(&mut self) -> Result<(), NoSolution> {
        let near = Near::new(self.net, self.form, Order::Given);
        let first = near.held(&[], 0, Hold::Exactly);
        let mut program = near.settling(
            first,
            0,
            &self.relaxed.values,
            (TOGETHER.width, TOGETHER.within),
        );
        for (column, own) in program.columns.iter_mut().zip(&self.form.program.columns) {
            column.whole = own.whole;
        }
        let found = self.attempt_from_best(&program, self.goal(TOGETHER, 1, 0))?;
        self.keep(found);
        Ok(())
    }

    /// Settles the whole program: the slowest, but it can also lower the bound.
    fn everything(&mut self) -> Result<(), NoSolution> {
        let goal = self.goal(EVERYTHING, 1, 0);
        let found = self.attempt_from_best(&self.form.program, goal)?;
        if let Some(found) = &found {
            self.lower_bound(found.bound);
        }
        self.keep(found);
        Ok(())
    }

    /// Keeps a solution if it is the best so far.
    fn keep(&mut self, found: Option<Solved>) {
        if let Some(found) = found
            && self.best.as_ref().is_none_or(|b| found.worth > b.worth)
        {
            self.best = Some(found);
        }
    }

    fn lower_bound(&mut self, bound: f64) {
        let bound = if self.limits.whole_worth {
            (bound + 1e-6).floor()
        } else {
            bound
        };
        self.bound = self.bound.min(bound);
    }

    fn attempt_from_best(
        &mut self,
        program: &Program,
        goal: Goal,
    ) -> Result<Option<Solved>, NoSolution> {
        let best = self.best.as_ref().map(|b| b.values.clone());
        let known = best.as_deref().map_or(Known::Nothing, Known::Solution);
        self.attempt(program, goal, known)
    }

    /// Solves one program of the search; none if it holds no solution or the search was stopped.
    fn attempt(
        &mut self,
        program: &Program,
        goal: Goal,
        known: Known<'_>,
    ) -> Result<Option<Solved>, NoSolution> {
        let left = self.left();
        if left <= 0.0 {
            self.stopped = Some(Stop::Time);
            return Ok(None);
        }
        let whole = program.columns.iter().any(|c| c.whole);
        let settings = goal.settings(whole, left);
        let report = |p: Progress| self.tell(p.best.filter(|_| whole));
        let inner = Watch {
            cancel: self.watch.cancel,
            progress: &report,
        };
        match solve(program, settings, known, inner) {
            Ok(found) => {
                self.note(found.stopped);
                Ok(Some(found))
            }
            // Too few nodes or too little time: the next round has more.
            Err(NoSolution::Stopped(stop)) => {
                self.note(Some(stop));
                Ok(None)
            }
            // Too narrow to hold a plan: the next round is wider.
            Err(NoSolution::Infeasible) => Ok(None),
            Err(other) => Err(other),
        }
    }

    /// Notes why an attempt ended, if that ends the whole search.
    fn note(&mut self, stopped: Option<Stop>) {
        if self.left() <= 0.01 {
            self.stopped = Some(Stop::Time);
        }
        if stopped == Some(Stop::Cancelled) {
            self.stopped = stopped;
        }
    }

    fn finish(self) -> Result<Found, NoSolution> {
        let seconds = self.spent();
        let nothing = self
            .stopped
            .map_or(NoSolution::Infeasible, NoSolution::Stopped);
        let best = self.best.ok_or(nothing)?;
        Ok(Found {
            worth: best.worth,
            bound: self.bound.max(best.worth),
            values: best.values,
            stopped: self.stopped,
            seconds,
            relaxed: self.relaxed,
        })
    }

    /// Tells the watch how far the search has come. What an early turn reaches is not yet a plan,
    /// but the plan that follows from it is worth about as much.
    fn tell(&self, best: Option<f64>) {
        let known = self.best.as_ref().map(|b| b.worth);
        (self.watch.progress)(Progress {
            seconds: self.spent(),
            best: match (best, known) {
                (Some(a), Some(b)) => Some(a.max(b)),
                (a, b) => a.or(b),
            },
            bound: Some(self.bound),
        });
    }
}
