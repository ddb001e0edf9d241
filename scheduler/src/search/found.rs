//! What a search is asked for, and what it found.

use std::time::Instant;

use crate::milp::{Solved, Stop};

/// How long and how far to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Good enough: part of the bound.
    pub gap: f64,
    /// Seconds for the whole search.
    pub seconds: f64,
    /// Whether the worth of a solution is always a whole number, so that a bound rounds down.
    pub whole_worth: bool,
    /// Threads that may work on it at once, at least one. Each is a processor that others do not
    /// have meanwhile.
    pub threads: usize,
}

impl Limits {
    /// The limits of a search that has a part of the time.
    ///
    /// ```
    /// use scheduler::search::Limits;
    /// assert_eq!(Limits::default().part(0.5).seconds, 30.0);
    /// ```
    #[must_use]
    pub fn part(self, share: f64) -> Self {
        Self {
            seconds: self.seconds * share,
            ..self
        }
    }

    /// What is left of the limits of something that began then: making a program takes time too,
    /// not only searching it.
    ///
    /// ```
    /// use scheduler::search::Limits;
    /// let began = std::time::Instant::now();
    /// assert!(Limits::default().left_since(began).seconds <= 60.0);
    /// ```
    #[must_use]
    pub fn left_since(self, began: Instant) -> Self {
        Self {
            seconds: (self.seconds - began.elapsed().as_secs_f64()).max(0.0),
            ..self
        }
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            gap: 1e-3,
            seconds: 60.0,
            whole_worth: false,
            threads: 1,
        }
    }
}

/// The best that was found, and what is known about it.
#[derive(Debug, Clone, PartialEq)]
pub struct SearchOutcome {
    /// Value of each column of the program.
    pub values: Vec<f64>,
    /// Worth of the solution.
    pub objective: f64,
    /// What no solution can exceed.
    pub bound: f64,
    /// Why the search ended before the wanted gap was proven; none if it went all the way.
    pub stopped: Option<Stop>,
    /// Seconds the search took.
    pub seconds: f64,
    /// The relaxation, whose prices tell what is scarce.
    pub relaxed: Solved,
}

impl SearchOutcome {
    /// Distance to the bound, as a part of the bound.
    #[must_use]
    pub fn gap(&self) -> f64 {
        gap(self.objective, self.bound)
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
