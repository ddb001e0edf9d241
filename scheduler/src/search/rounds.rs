//! How far each round of the search goes.

use super::neighborhood::Order;
use crate::milp::Settings;

/// How far a round goes.
#[derive(Clone, Copy)]
pub(super) struct StageParams {
    /// In which order turns are settled.
    pub order: Order,
    /// Whether it is the first.
    pub first: bool,
    /// Points around the relaxation's starts at which tasks may start.
    pub width: usize,
    /// How many more or fewer starts than the relaxation's there may be at a point, where the
    /// relaxation's are not whole.
    pub within: f64,
    /// Nodes of each search tree; a count and not a time, so that every machine finds the same.
    pub nodes: i32,
    /// Part of the time left that one attempt may take.
    pub share: f64,
    /// The least gap that is wanted, whatever was asked for.
    pub gap: f64,
    /// Part of the wanted gap within which an attempt closes its own.
    pub care: f64,
    /// Whether the relaxation is solved again after each turn, to see where the next ones start.
    pub look_again: bool,
}

const fn reach(width: usize, nodes: i32, share: f64, care: f64) -> StageParams {
    StageParams {
        order: Order::Given,
        first: false,
        width,
        within: f64::INFINITY,
        nodes,
        share,
        gap: 0.0,
        care,
        look_again: true,
    }
}

/// The first round, which is to be quick.
pub(super) const FIRST: StageParams = StageParams {
    first: true,
    look_again: false,
    within: 1.0,
    ..reach(2, 100, 0.15, 0.6)
};

/// A round for when there is more to do than can be done: then what the second turn makes is what
/// the first can have.
const fn scarce(width: usize, nodes: i32, share: f64) -> StageParams {
    StageParams {
        order: Order::SecondFirst,
        gap: 5e-3,
        ..reach(width, nodes, share, 0.5)
    }
}

/// The rounds for when there is more to do than can be done.
pub(super) const SCARCE: [StageParams; 2] = [scarce(2, 100, 0.3), scarce(4, 200, 0.3)];

/// The first round again, with a look at the relaxation after each turn.
pub(super) const AGAIN: StageParams = reach(2, 100, 0.3, 0.6);

/// Wider and slower rounds, tried one after the other.
pub(super) const WIDER: [StageParams; 3] = [
    reach(4, 400, 0.3, 0.3),
    reach(8, 1600, 0.4, 0.2),
    reach(24, 3200, 0.4, 0.1),
];

/// How a horizon is walked through.
#[derive(Clone, Copy)]
pub(super) struct Roll {
    /// Points that are settled at a time; a third as many after them are whole as well.
    pub window: usize,
    /// Points around the starts found before at which tasks may start.
    pub width: usize,
    /// Nodes of each search tree.
    pub nodes: i32,
    /// Part of the time left that one window may take.
    pub share: f64,
    /// Part of the wanted gap within which a window closes its own.
    pub care: f64,
}

/// A day of half hours at a time.
pub(super) const ROLL: Roll = Roll {
    window: 48,
    width: 3,
    nodes: 50,
    share: 0.25,
    care: 0.3,
};

/// Above this gap there is more to do than can be done.
pub(super) const WIDE: f64 = 0.01;

/// The round in which all turns are settled together.
pub(super) const TOGETHER: StageParams = reach(6, 4000, 0.6, 0.5);

/// The round after that: the whole program, with no restriction.
pub(super) const EVERYTHING: StageParams = reach(usize::MAX, 5000, 1.0, 0.5);

/// Seconds any attempt may take, however little its share.
const PATIENCE_SECONDS: f64 = 2.0;

/// Part of the wanted gap that is used up after turn `n` of `relax_and_fix`.
pub(super) fn part_of_gap(turns: usize, n: usize) -> f64 {
    match turns - 1 - n {
        0 => 1.0,
        1 => 0.9,
        _ => 0.6,
    }
}

/// When an attempt may stop.
#[derive(Clone, Copy)]
pub(super) struct StopCriteria {
    /// A worth that is good enough.
    pub enough: f64,
    /// A gap to its own bound that is good enough.
    pub gap: f64,
    /// Nodes of the search tree.
    pub nodes: i32,
    /// Part of the time left.
    pub share: f64,
}

impl StopCriteria {
    /// Settings of an attempt with this goal; a linear program has no use for most of it.
    pub(super) fn settings(self, whole: bool, seconds_left: f64) -> Settings {
        Settings {
            gap: self.gap,
            seconds: (seconds_left * self.share).max(seconds_left.min(PATIENCE_SECONDS)),
            enough: whole.then_some(self.enough),
            nodes: whole.then_some(self.nodes),
        }
    }
}
