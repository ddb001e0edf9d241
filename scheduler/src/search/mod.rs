//! Finding a good plan quickly and proving how good it is.
//!
//! The relaxation of these networks is tight: what it starts, and when, is nearly what the best
//! plan starts. So: solve the relaxation for the bound, let the integer search start tasks only
//! near where the relaxation starts them, and widen that while the gap is open.

mod support;

use crate::milp::{Formulation, NoSolution, Progress, Settings, Solved, Stop, Watch, solve};
use crate::network::Network;

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
    /// Why the search ended before the wanted gap was proven; none if it is proven.
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
#[must_use]
pub fn gap(worth: f64, bound: f64) -> f64 {
    (bound - worth).max(0.0) / bound.abs().max(1e-9)
}

/// Widths, in points, tried one after the other around the relaxation's starts.
const WIDTHS: [usize; 3] = [2, 8, 24];

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
    let settings = |seconds: f64| Settings {
        gap: limits.gap / 2.0,
        seconds,
        ..Settings::default()
    };
    let relaxed = solve(&form.program.relaxed(), settings(limits.seconds), None, watch)?;
    let mut spent = relaxed.seconds;
    let bound = relaxed.bound;
    tell(watch, spent, None, bound);
    let mut best: Option<Solved> = None;
    let mut stopped = None;
    for width in WIDTHS {
        let left = limits.seconds - spent;
        if left <= 0.0 {
            stopped = Some(Stop::Time);
            break;
        }
        let near = support::near(net, form, &relaxed.values, width);
        let report = |p: Progress| tell(watch, spent + p.seconds, p.best, bound);
        let inner = Watch {
            cancel: watch.cancel,
            progress: &report,
        };
        let known = best.as_ref().map(|b| b.values.as_slice());
        match solve(&near, settings(left), known, inner) {
            Ok(found) => {
                spent += found.seconds;
                stopped = found.stopped;
                if best.as_ref().is_none_or(|b| found.worth > b.worth) {
                    best = Some(found);
                }
            }
            Err(NoSolution::Stopped(stop)) => stopped = Some(stop),
            // Too narrow to hold a plan: widen.
            Err(NoSolution::Infeasible) => {}
            Err(other) => return Err(other),
        }
        let good = best.as_ref().is_some_and(|b| gap(b.worth, bound) <= limits.gap);
        if good || stopped.is_some() {
            break;
        }
    }
    let best = best.ok_or(stopped.map_or(NoSolution::Infeasible, NoSolution::Stopped))?;
    Ok(Found {
        worth: best.worth,
        values: best.values,
        bound: bound.max(best.worth),
        stopped,
        seconds: spent,
        relaxed,
    })
}

fn tell(watch: Watch<'_>, seconds: f64, best: Option<f64>, bound: f64) {
    (watch.progress)(Progress {
        seconds,
        best,
        bound: Some(bound),
    });
}
