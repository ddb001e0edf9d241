//! Finding a good plan quickly and proving how good it is.
//!
//! The relaxation of these networks is tight: what it starts, and when, is nearly what the best
//! plan starts. So the search
//!
//! 1. solves the relaxation, which gives the bound and shows where tasks start;
//! 2. settles the tasks that lead (what is tapped, what is boiled) as whole numbers, near where
//!    the relaxation starts them, with all others still fractional;
//! 3. fixes those and settles all others near where the relaxation now starts them, which is easy;
//! 4. widens "near" while the gap to the bound is open and time is left.

mod near;

use crate::milp::{Formulation, NoSolution, Program, Progress, Settings, Solved, Stop, Watch, solve};
use crate::network::Network;

use near::Near;

/// How long and how far to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Good enough: part of the bound.
    pub gap: f64,
    /// Seconds for the whole search.
    pub seconds: f64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            gap: 1e-3,
            seconds: 60.0,
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

/// Points around the relaxation's starts at which leading and other tasks may start, tried one
/// after the other.
const WIDTHS: [(usize, usize); 4] = [(0, 2), (1, 4), (4, 8), (16, 24)];

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
    for (lead, follow) in WIDTHS {
        if search.done() {
            break;
        }
        search.round(lead, follow)?;
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
        let relaxed = solve(&form.program.relaxed(), settings, None, watch)?;
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
            relaxed,
        };
        search.tell(0.0, None);
        Ok(search)
    }

    fn done(&self) -> bool {
        let good = |b: &Solved| gap(b.worth, self.relaxed.bound) <= self.limits.gap;
        self.stopped.is_some() || self.best.as_ref().is_some_and(good)
    }

    /// Settles the leading tasks, then the others, near the relaxation's starts.
    fn round(&mut self, lead: usize, follow: usize) -> Result<(), NoSolution> {
        let near = Near::new(self.net, self.form);
        let bound = self.relaxed.bound;
        let program = near.leading(&self.relaxed.values, lead);
        let enough = bound - bound.abs() * self.limits.gap * LEAD_SHARE;
        let Some(leads) = self.attempt(&program, Some(enough), None)? else {
            return Ok(());
        };
        let fixed = near.fixed(&leads.values);
        let Some(follows) = self.attempt(&fixed.relaxed(), None, None)? else {
            return Ok(());
        };
        let program = near.following(fixed, &follows.values, follow);
        let enough = bound - bound.abs() * self.limits.gap;
        if let Some(found) = self.attempt(&program, Some(enough), None)?
            && self.best.as_ref().is_none_or(|b| found.worth > b.worth)
        {
            self.best = Some(found);
        }
        Ok(())
    }

    /// Solves one program of the search; none if it holds no solution or the search was stopped.
    fn attempt(
        &mut self,
        program: &Program,
        enough: Option<f64>,
        known: Option<&[f64]>,
    ) -> Result<Option<Solved>, NoSolution> {
        let left = self.limits.seconds - self.spent;
        if left <= 0.0 {
            self.stopped = Some(Stop::Time);
            return Ok(None);
        }
        let settings = Settings {
            gap: self.limits.gap / 10.0,
            seconds: left,
            enough,
        };
        let whole = program.columns.iter().any(|c| c.whole);
        let report = |p: Progress| self.tell(p.seconds, p.best.filter(|_| whole));
        let inner = Watch {
            cancel: self.watch.cancel,
            progress: &report,
        };
        match solve(program, settings, known, inner) {
            Ok(found) => {
                self.spent += found.seconds;
                self.stopped = found.stopped.filter(|stop| *stop != Stop::Enough);
                Ok(Some(found))
            }
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
        let nothing = self.stopped.map_or(NoSolution::Infeasible, NoSolution::Stopped);
        let best = self.best.ok_or(nothing)?;
        Ok(Found {
            worth: best.worth,
            bound: self.relaxed.bound.max(best.worth),
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
            bound: Some(self.relaxed.bound),
        });
    }
}
