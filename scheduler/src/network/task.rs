//! Tasks: what can be started, and what it moves.

use std::ops::Range;

use super::{ResourceId, Series};

/// Names a task of a network.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TaskId(pub(crate) usize);

/// Whether a task starts a whole number of times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Count {
    /// 0, 1, 2 … times.
    Whole,
    /// Any amount, such as kilograms bought.
    Any,
}

/// Bounds on a task's size, for each start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// The least size of one start.
    pub least: f64,
    /// The greatest size of one start.
    pub most: f64,
}

/// What a task moves at an offset from its start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// The resource.
    pub resource: ResourceId,
    /// Points after the start.
    pub offset: usize,
    /// Amount for each start; negative takes it away.
    pub per_start: f64,
    /// Amount for each unit of size.
    pub per_size: f64,
}

/// Something that can be started.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// What people call it.
    pub name: String,
    /// Whether it starts a whole number of times.
    pub count: Count,
    /// The most starts at each point; zero where it may not start.
    pub most: Series,
    /// Bounds on its size, if it has one.
    pub size: Option<Size>,
    /// What it moves.
    pub moves: Vec<Move>,
    /// What one start is worth (negative: costs), by point.
    pub worth_per_start: Series,
    /// What a unit of size is worth.
    pub worth_per_size: f64,
}

impl Task {
    /// A task that may not start anywhere yet and moves nothing.
    #[must_use]
    pub fn named(name: impl Into<String>, count: Count) -> Self {
        Self {
            name: name.into(),
            count,
            most: Series::Constant(0.0),
            size: None,
            moves: Vec::new(),
            worth_per_start: Series::Constant(0.0),
            worth_per_size: 0.0,
        }
    }

    /// Lets it start up to `most` times at each of `points`, and nowhere else.
    #[must_use]
    pub fn up_to(self, most: f64, points: Range<usize>) -> Self {
        self.up_to_at(most, points)
    }

    /// Lets it start up to `most` times at each of the listed points, and nowhere else.
    #[must_use]
    pub fn up_to_at(mut self, most: f64, points: impl IntoIterator<Item = usize>) -> Self {
        let mut series = Vec::new();
        for t in points {
            if series.len() <= t {
                series.resize(t + 1, 0.0);
            }
            series[t] = most;
        }
        // The series repeats its last number, so it ends with a zero.
        series.push(0.0);
        self.most = Series::ByPoint(series);
        self
    }

    /// Gives it a size between `least` and `most` for each start.
    #[must_use]
    pub fn sized(mut self, least: f64, most: f64) -> Self {
        self.size = Some(Size { least, most });
        self
    }

    /// Moves `amount` of `resource` for each start, `offset` points after it.
    #[must_use]
    pub fn per_start(self, resource: ResourceId, offset: usize, amount: f64) -> Self {
        self.moving(Move {
            resource,
            offset,
            per_start: amount,
            per_size: 0.0,
        })
    }

    /// Moves `amount` of `resource` for each unit of size, `offset` points after the start.
    #[must_use]
    pub fn per_size(self, resource: ResourceId, offset: usize, amount: f64) -> Self {
        self.moving(Move {
            resource,
            offset,
            per_start: 0.0,
            per_size: amount,
        })
    }

    /// Holds `amount` of `resource` from the start until `offset` points after it.
    #[must_use]
    pub fn holding(self, resource: ResourceId, offset: usize, amount: f64) -> Self {
        self.per_start(resource, 0, -amount)
            .per_start(resource, offset, amount)
    }

    /// Adds a move.
    #[must_use]
    pub fn moving(mut self, change: Move) -> Self {
        self.moves.push(change);
        self
    }

    /// Sets what one start is worth.
    #[must_use]
    pub fn worth(mut self, per_start: impl Into<Series>) -> Self {
        self.worth_per_start = per_start.into();
        self
    }

    /// Sets what a unit of size is worth.
    #[must_use]
    pub fn worth_per_size(mut self, worth: f64) -> Self {
        self.worth_per_size = worth;
        self
    }

    pub(super) fn moves_by_size(&self) -> bool {
        self.moves.iter().any(|m| m.per_size.abs() > 0.0) || self.worth_per_size.abs() > 0.0
    }

    pub(super) fn makes_sense(&self, points: usize) -> bool {
        let finite = |m: &Move| m.per_start.is_finite() && m.per_size.is_finite();
        let sized = self.size.is_none_or(|s| {
            s.least.is_finite() && s.most.is_finite() && 0.0 <= s.least && s.least <= s.most
        });
        self.moves.iter().all(finite)
            && sized
            && self.worth_per_size.is_finite()
            && (0..points).all(|t| {
                let most = self.most.at(t);
                most.is_finite() && most >= 0.0 && self.worth_per_start.at(t).is_finite()
            })
    }
}
