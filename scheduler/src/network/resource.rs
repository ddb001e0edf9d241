//! Resources: whatever tasks need, use up, fill or make.

use std::collections::BTreeMap;

use super::Series;

/// Names a resource of a network.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ResourceId(pub(crate) usize);

/// Something with a level: a pot that is free, kilograms in a bin, kegs in a state.
#[derive(Debug, Clone, PartialEq)]
pub struct Resource {
    /// What people call it.
    pub name: String,
    /// Level before point 0.
    pub initial: f64,
    /// The least level allowed at each point.
    pub lower: Series,
    /// The greatest level allowed at each point; infinity for none.
    pub upper: Series,
    /// What comes (positive) or goes (negative) from outside, by point.
    pub supply: BTreeMap<usize, f64>,
    /// Whether what is too much may overflow.
    pub spills: bool,
    /// Whether the level is carried from point to point; otherwise what is not used at a point is
    /// gone, as working minutes are.
    pub carries: bool,
    /// What one unit standing there at a point is worth (negative: costs).
    pub worth: Series,
}

impl Resource {
    /// A resource that starts empty, never falls below zero and has no upper bound.
    #[must_use]
    pub fn named(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            initial: 0.0,
            lower: Series::Constant(0.0),
            upper: Series::Constant(f64::INFINITY),
            supply: BTreeMap::new(),
            spills: false,
            carries: true,
            worth: Series::Constant(0.0),
        }
    }

    /// Sets the level before point 0.
    #[must_use]
    pub fn starting(mut self, level: f64) -> Self {
        self.initial = level;
        self
    }

    /// Sets the least level allowed.
    #[must_use]
    pub fn at_least(mut self, lower: impl Into<Series>) -> Self {
        self.lower = lower.into();
        self
    }

    /// Sets the greatest level allowed.
    #[must_use]
    pub fn at_most(mut self, upper: impl Into<Series>) -> Self {
        self.upper = upper.into();
        self
    }

    /// Adds an outside supply (or draw, if negative) at point `t`.
    pub fn supply(&mut self, t: usize, amount: f64) {
        *self.supply.entry(t).or_default() += amount;
    }

    /// Lets what is too much overflow.
    #[must_use]
    pub fn spilling(mut self) -> Self {
        self.spills = true;
        self
    }

    /// Makes it renew at every point: `capacity` at each, and what is not used is gone.
    #[must_use]
    pub fn renewed(mut self, capacity: &[f64]) -> Self {
        self.carries = false;
        for (t, amount) in capacity.iter().enumerate() {
            self.supply(t, *amount);
        }
        self
    }

    /// Sets what a unit standing there is worth at each point.
    #[must_use]
    pub fn worth(mut self, worth: impl Into<Series>) -> Self {
        self.worth = worth.into();
        self
    }

    /// Sets what a unit standing there at point `last` is worth, and nothing at others.
    #[must_use]
    pub fn worth_at_end(mut self, last: usize, worth: f64) -> Self {
        let mut series = vec![0.0; last + 1];
        series[last] = worth;
        self.worth = Series::ByPoint(series);
        self
    }

    pub(super) fn makes_sense(&self, points: usize) -> bool {
        self.initial.is_finite()
            && self.supply.values().all(|x| x.is_finite())
            && (0..points).all(|t| {
                let (lower, upper) = (self.lower.at(t), self.upper.at(t));
                lower.is_finite()
                    && !upper.is_nan()
                    && lower <= upper
                    && self.worth.at(t).is_finite()
            })
    }
}
