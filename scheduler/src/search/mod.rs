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
//! help the horizon is settled from its beginning to its end (`rolling`). A horizon of many weeks
//! is settled a week at a time (`time_decomposition`). What is left open after that is sought in windows of some
//! days, each settled anew with everything else as it is (`fix_and_optimize`).

mod fallback_plan;
mod fix_and_optimize;
mod found;
mod neighborhood;
mod relax_and_fix;
mod relaxation;
mod rolling;
mod rounds;
mod time_decomposition;

use std::time::Instant;

use crate::milp::{
    Formulation, NoSolution, Program, Progress, Solved, Stop, WarmStart, Watch, solve,
};
use crate::network::Network;

pub use found::{Limits, SearchOutcome, gap};
pub use relaxation::relaxation;

use neighborhood::{Hold, Near, Order};
use relaxation::relaxed;
use rounds::part_of_gap;
use rounds::{
    AGAIN, EVERYTHING, FIRST, ROLL, SCARCE, StageParams, StopCriteria, TOGETHER, WIDE, WIDER,
};

/// Searches the program of a network.
///
/// # Errors
/// [`NoSolution`] if there is none, or none was found before the search was stopped.
pub fn search(
    net: &Network,
    form: &Formulation,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<SearchOutcome, NoSolution> {
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
) -> Result<SearchOutcome, NoSolution> {
    let mut search = match known {
        None if time_decomposition::is_long(net, limits) => {
            time_decomposition::start(net, form, limits, watch)?
        }
        _ => Search::start(net, form, limits, watch)?,
    };
    search.keep(known.map(|values| Solved::known(&form.program, values)));
    search.whole()?;
    search.finish()
}

/// The one that is worth more; the first of two that are worth the same.
fn better(one: Option<Solved>, other: Option<Solved>) -> Option<Solved> {
    match (one, other) {
        (Some(one), Some(other)) if other.objective > one.objective => Some(other),
        (one, other) => one.or(other),
    }
}

/// What is searched, and how.
#[derive(Clone, Copy)]
struct Asked<'a> {
    net: &'a Network,
    form: &'a Formulation,
    limits: Limits,
    watch: Watch<'a>,
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
    /// Whether the first turn of the first round nearly reached the bound.
    first_turn_reached: bool,
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
        let relaxed = relaxed(net, form, limits.seconds, watch)?;
        let asked = Asked {
            net,
            form,
            limits,
            watch,
        };
        Ok(Self::begun(asked, relaxed, began))
    }

    /// A search whose relaxation is solved.
    fn begun(asked: Asked<'a>, relaxed: Solved, began: Instant) -> Self {
        let Asked {
            net,
            form,
            limits,
            watch,
        } = asked;
        let mut search = Self {
            net,
            form,
            limits,
            watch,
            bound: f64::INFINITY,
            best: None,
            first_turn_reached: false,
            stopped: relaxed.stopped,
            began,
            relaxed,
        };
        search.lower_bound(search.relaxed.bound);
        search.tell(None);
        search
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
        let good = |b: &Solved| gap(b.objective, self.bound) <= self.limits.gap;
        self.stopped.is_some() || self.best.as_ref().is_some_and(good)
    }

    /// Searches until the gap is closed or the time is over; there is a solution then, unless
    /// somebody asked to stop.
    fn whole(&mut self) -> Result<(), NoSolution> {
        self.rounds()?;
        if self.best.is_none() && !self.watch.cancelled() {
            self.idle()?;
        }
        Ok(())
    }

    /// Goes from narrow and quick to wide and slow, until the gap is closed or the time is over.
    fn rounds(&mut self) -> Result<(), NoSolution> {
        if time_decomposition::is_long(self.net, self.limits) {
            self.improve()?;
        }
        self.round_if(true, FIRST)?;
        // What was settled first nearly reached the bound, and what follows lost it: then there is
        // not too much to do, only a bad turn.
        let unlucky = self.first_turn_reached && self.gap_is_wide();
        self.round_if(unlucky, AGAIN)?;
        if !self.done() && self.gap_is_wide() {
            self.roll(ROLL)?;
        }
        for reach in SCARCE {
            self.round_if(self.gap_is_wide(), reach)?;
        }
        self.improve()?;
        self.round_if(!unlucky && !self.gap_is_wide(), AGAIN)?;
        for reach in WIDER {
            self.round_if(!self.gap_is_wide(), reach)?;
        }
        if !self.done() {
            self.together()?;
        }
        if !self.done() {
            self.everything()?;
        }
        Ok(())
    }

    fn round_if(&mut self, fits: bool, reach: StageParams) -> Result<(), NoSolution> {
        if fits && !self.done() {
            self.round(reach)?;
        }
        Ok(())
    }

    /// Whether what was found is far from the bound, or nothing was: then there is more to do than
    /// can be done.
    fn gap_is_wide(&self) -> bool {
        let near = |best: &Solved| gap(best.objective, self.bound) <= WIDE;
        !self.best.as_ref().is_some_and(near)
    }

    /// What an attempt in turn `n` aims for: earlier turns leave some of the gap to later ones.
    fn goal(&self, reach: StageParams, turns: usize, n: usize) -> StopCriteria {
        let gap = self.limits.gap.max(reach.gap) * part_of_gap(turns, n);
        StopCriteria {
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
        self.best = better(self.best.take(), found);
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
        goal: StopCriteria,
    ) -> Result<Option<Solved>, NoSolution> {
        let best = self.best.as_ref().map(|b| b.values.clone());
        let known = best
            .as_deref()
            .map_or(WarmStart::Nothing, WarmStart::Solution);
        self.attempt(program, goal, known)
    }

    /// Solves one program of the search; none if it holds no solution or the search was stopped.
    fn attempt(
        &mut self,
        program: &Program,
        goal: StopCriteria,
        known: WarmStart<'_>,
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

    fn finish(self) -> Result<SearchOutcome, NoSolution> {
        let seconds = self.spent();
        let nothing = self
            .stopped
            .map_or(NoSolution::Infeasible, NoSolution::Stopped);
        let best = self.best.ok_or(nothing)?;
        Ok(SearchOutcome {
            objective: best.objective,
            bound: self.bound.max(best.objective),
            values: best.values,
            stopped: self.stopped,
            seconds,
            relaxed: self.relaxed,
        })
    }

    /// Tells the watch how far the search has come. What an early turn reaches is not yet a plan,
    /// but the plan that follows from it is worth about as much.
    fn tell(&self, best: Option<f64>) {
        let known = self.best.as_ref().map(|b| b.objective);
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

/// The demo week's network and program, for tests.
#[cfg(test)]
pub(crate) fn demo_week() -> (crate::mapping::SodaNetwork, Formulation) {
    let scenario = crate::sample::fixed().check().unwrap();
    let recipes = crate::recipe::Recipes::of(&scenario).unwrap();
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    let soda = crate::mapping::network(&scenario, &recipes, &timeline);
    let form = soda.formulate(&scenario, &timeline);
    (soda, form)
}
