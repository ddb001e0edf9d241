//! Finding a good plan quickly and proving how good it is.
//!
//! The relaxation of these networks is tight: what it starts, and when, is nearly what the best
//! plan starts. So the search
//!
//! 1. solves the relaxation, which gives the bound and shows where tasks start;
//! 2. settles the tasks that lead (what is tapped, what is boiled) as whole numbers, near where
//!    the relaxation starts them, with all others still fractional;
//! 3. fixes those and settles all others near where the relaxation now starts them, which is easy;
//! 4. widens "near" while the gap to the bound is open and time is left, and in the end settles
//!    all tasks together, first near the relaxation, then anywhere.

mod near;

use std::sync::atomic::AtomicBool;

use crate::milp::{
    Formulation, Known, NoSolution, Program, Progress, Settings, Solved, Stop, Watch, solve,
};
use crate::network::Network;

use near::Near;

/// How long and how far to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Good enough: part of the bound.
    pub gap: f64,
    /// Seconds for the whole search.
    pub seconds: f64,
    /// Whether the worth of a solution is always a whole number, so that a bound rounds down.
    pub whole_worth: bool,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            gap: 1e-3,
            seconds: 60.0,
            whole_worth: false,
        }
    }
}

/// The best that was found, and what is known about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Value of each column of the program.
    pub values: Vec<f64>,
    /// Worth of the solution.
    pub worth: f64,
    /// What no solution can exceed.
    pub bound: f64,
    /// Why the search ended before the wanted gap was proven; none if it went all the way.
    pub stopped: Option<Stop>,
    /// Seconds spent in the solver.
    pub seconds: f64,
    /// The relaxation, whose prices tell what is scarce.
    pub relaxed: Solved,
}

impl Found {
    /// Distance to the bound, as a part of the bound.
    #[must_use]
    pub fn gap(&self) -> f64 {
        gap(self.worth, self.bound)
    }
}

/// Distance between a worth and its bound, as a part of the bound.
///
/// ```
/// assert_eq!(scheduler::search::gap(99.0, 100.0), 0.01);
/// ```
#[must_use]
pub fn gap(worth: f64, bound: f64) -> f64 {
    (bound - worth).max(0.0) / bound.abs().max(1e-9)
}

/// How far a round goes.
#[derive(Clone, Copy)]
struct Reach {
    /// Points around the relaxation's starts at which leading tasks may start.
    lead: usize,
    /// The same for those that follow.
    follow: usize,
    /// Nodes of each search tree; a count and not a time, so that every machine finds the same.
    nodes: i32,
}

const fn reach(lead: usize, follow: usize, nodes: i32) -> Reach {
    Reach {
        lead,
        follow,
        nodes,
    }
}

/// Rounds, tried one after the other.
const ROUNDS: [Reach; 4] = [
    reach(0, 2, 300),
    reach(1, 4, 600),
    reach(4, 8, 1200),
    reach(16, 24, 2400),
];

/// The last round, in which all tasks are settled together.
const TOGETHER: Reach = reach(6, 6, 4000);

/// The round after that: the whole program, with no restriction.
const EVERYTHING: Reach = reach(usize::MAX, usize::MAX, 5000);

/// Part of the wanted gap the leading tasks may use up; the others need the rest.
const LEAD_SHARE: f64 = 0.9;

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
    let mut search = Search::start(net, form, limits, watch)?;
    for reach in ROUNDS {
        if search.done() {
            break;
        }
        search.round(reach)?;
    }
    if !search.done() {
        search.together()?;
    }
    if !search.done() {
        search.everything()?;
    }
    if search.best.is_none() {
        search.idle()?;
    }
    search.finish()
}

/// When an attempt may stop.
#[derive(Clone, Copy)]
struct Goal {
    enough: f64,
    nodes: i32,
}

impl Goal {
    fn of(enough: f64, reach: Reach) -> Self {
        Self {
            enough,
            nodes: reach.nodes,
        }
    }
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
    spent: f64,
}

impl<'a> Search<'a> {
    fn start(
        net: &'a Network,
        form: &'a Formulation,
        limits: Limits,
        watch: Watch<'a>,
    ) -> Result<Self, NoSolution> {
        let settings = Settings {
            seconds: limits.seconds,
            ..Settings::default()
        };
        let mut relaxed = solve(&form.program.relaxed(), settings, Known::Nothing, watch)?;
        if limits.whole_worth {
            relaxed.bound = (relaxed.bound + 1e-6).floor();
        }
        if let Some(stop) = relaxed.stopped {
            return Err(NoSolution::Stopped(stop));
        }
        let search = Self {
            net,
            form,
            limits,
            watch,
            best: None,
            stopped: None,
            spent: relaxed.seconds,
            bound: relaxed.bound,
            relaxed,
        };
        search.tell(0.0, None);
        Ok(search)
    }

    fn done(&self) -> bool {
        let good = |b: &Solved| gap(b.worth, self.bound) <= self.limits.gap;
        self.stopped.is_some() || self.best.as_ref().is_some_and(good)
    }

    /// Settles the leading tasks, then the others, near the relaxation's starts.
    fn round(&mut self, reach: Reach) -> Result<(), NoSolution> {
        let near = Near::new(self.net, self.form);
        let bound = self.bound;
        let program = near.leading(&self.relaxed.values, reach.lead);
        let enough = bound - bound.abs() * self.limits.gap * LEAD_SHARE;
        let goal = Goal::of(enough, reach);
        let Some(leads) = self.attempt(&program, goal, Known::Nothing)? else {
            return Ok(());
        };
        let fixed = near.fixed(&leads.values);
        let mut found = self.follow(&near, fixed, reach)?;
        if found.is_none() && self.stopped.is_none() {
            // What leads asks for more than whole kegs and hands can follow: let it have less.
            let capped = near.capped(&leads.values);
            found = self.follow(&near, capped, reach)?;
        }
        self.keep(found);
        Ok(())
    }

    /// Settles what follows the leading tasks.
    fn follow(
        &mut self,
        near: &Near<'_>,
        held: Program,
        reach: Reach,
    ) -> Result<Option<Solved>, NoSolution> {
        let bound = self.bound;
        let goal = Goal::of(bound - bound.abs() * self.limits.gap, reach);
        let Some(follows) = self.attempt(&held.relaxed(), goal, Known::Nothing)? else {
            return Ok(None);
        };
        let program = near.following(held, &follows.values, reach.follow);
        self.attempt(&program, goal, Known::Nothing)
    }

    /// Settles all tasks together, near the relaxation's starts: slower, but what leads no longer
    /// ties what follows.
    fn together(&mut self) -> Result<(), NoSolution> {
        let near = Near::new(self.net, self.form);
        let program = near.all(&self.relaxed.values, TOGETHER.lead);
        let bound = self.bound;
        let enough = bound - bound.abs() * self.limits.gap;
        let best = self.best.as_ref().map(|b| b.values.clone());
        let known = best.as_deref().map_or(Known::Nothing, Known::Solution);
        let found = self.attempt(&program, Goal::of(enough, TOGETHER), known)?;
        self.keep(found);
        Ok(())
    }

    /// Nothing was found in time: the plan that starts nothing new is still a plan. It takes a
    /// moment more than the limit.
    fn idle(&mut self) -> Result<(), NoSolution> {
        let near = Near::new(self.net, self.form);
        let program = near.fixed(&vec![0.0; self.form.program.columns.len()]);
        let program = near.following(program, &vec![0.0; self.form.program.columns.len()], 0);
        let settings = Settings::default();
        let never = AtomicBool::new(false);
        let quiet = Watch {
            cancel: &never,
            progress: &|_| {},
        };
        match solve(&program, settings, Known::Nothing, quiet) {
            Ok(found) => {
                self.spent += found.seconds;
                self.keep(Some(found));
                Ok(())
            }
            Err(NoSolution::Infeasible) => Ok(()),
            Err(other) => Err(other),
        }
    }

    /// Settles the whole program: the slowest, but it can also lower the bound.
    fn everything(&mut self) -> Result<(), NoSolution> {
        let enough = self.bound - self.bound.abs() * self.limits.gap;
        let best = self.best.as_ref().map(|b| b.values.clone());
        let known = best.as_deref().map_or(Known::Nothing, Known::Solution);
        let goal = Goal::of(enough, EVERYTHING);
        let found = self.attempt(&self.form.program, goal, known)?;
        if let Some(found) = &found {
            let bound = if self.limits.whole_worth {
                (found.bound + 1e-6).floor()
            } else {
                found.bound
            };
            self.bound = self.bound.min(bound);
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

    /// Solves one program of the search; none if it holds no solution or the search was stopped.
    fn attempt(
        &mut self,
        program: &Program,
        goal: Goal,
        known: Known<'_>,
    ) -> Result<Option<Solved>, NoSolution> {
        let left = self.limits.seconds - self.spent;
        if left <= 0.0 {
            self.stopped = Some(Stop::Time);
            return Ok(None);
        }
        let whole = program.columns.iter().any(|c| c.whole);
        let settings = Settings {
            gap: self.limits.gap / 10.0,
            seconds: left,
            enough: whole.then_some(goal.enough),
            nodes: whole.then_some(goal.nodes),
        };
        let report = |p: Progress| self.tell(p.seconds, p.best.filter(|_| whole));
        let inner = Watch {
            cancel: self.watch.cancel,
            progress: &report,
        };
        match solve(program, settings, known, inner) {
            Ok(found) => {
                self.spent += found.seconds;
                let ends = |stop: &Stop| matches!(stop, Stop::Time | Stop::Cancelled);
                self.stopped = found.stopped.filter(ends);
                Ok(Some(found))
            }
            // Too few nodes: the next round has more.
            Err(NoSolution::Stopped(Stop::Other)) => Ok(None),
            Err(NoSolution::Stopped(stop)) => {
                self.stopped = Some(stop);
                Ok(None)
            }
            // Too narrow to hold a plan: the next round is wider.
            Err(NoSolution::Infeasible) => Ok(None),
            Err(other) => Err(other),
        }
    }

    fn finish(self) -> Result<Found, NoSolution> {
        let nothing = self
            .stopped
            .map_or(NoSolution::Infeasible, NoSolution::Stopped);
        let best = self.best.ok_or(nothing)?;
        Ok(Found {
            worth: best.worth,
            bound: self.bound.max(best.worth),
            values: best.values,
            stopped: self.stopped,
            seconds: self.spent,
            relaxed: self.relaxed,
        })
    }

    /// Tells the watch how far the search has come. What the leading tasks reach is not yet a
    /// plan, but the plan that follows from it is worth about as much.
    fn tell(&self, seconds: f64, best: Option<f64>) {
        let known = self.best.as_ref().map(|b| b.worth);
        (self.watch.progress)(Progress {
            seconds: self.spent + seconds,
            best: match (best, known) {
                (Some(a), Some(b)) => Some(a.max(b)),
                (a, b) => a.or(b),
            },
            bound: Some(self.bound),
        });
    }
}
