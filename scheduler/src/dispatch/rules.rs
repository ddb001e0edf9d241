//! Rules of thumb a crew could work by.

use fastrand::Rng;

/// Something a crew can do next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Act {
    Fill,
    Gas,
    Boil,
    Wash,
}

/// What a crew does first in a step, and what it prefers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Rule {
    /// What is looked at first.
    pub order: [Act; 4],
    /// Whether small kegs are filled before large ones.
    pub small_first: bool,
    /// Whether the last cold store of the list is filled first.
    pub last_store_first: bool,
    /// Whether a slow way of gassing is taken where it ends in time.
    pub slow_first: bool,
    /// Whether the fullest boil is preferred to the quickest.
    pub fullest: bool,
    /// Which route is preferred: the list of routes is turned by this many places.
    pub route: usize,
    /// How often each thing is started at most in the step.
    pub pace: usize,
}

const ORDERS: [[Act; 4]; 8] = [
    [Act::Boil, Act::Gas, Act::Fill, Act::Wash],
    [Act::Gas, Act::Boil, Act::Fill, Act::Wash],
    [Act::Fill, Act::Gas, Act::Boil, Act::Wash],
    [Act::Gas, Act::Fill, Act::Boil, Act::Wash],
    [Act::Boil, Act::Fill, Act::Gas, Act::Wash],
    [Act::Fill, Act::Boil, Act::Gas, Act::Wash],
    [Act::Wash, Act::Gas, Act::Boil, Act::Fill],
    [Act::Wash, Act::Boil, Act::Fill, Act::Gas],
];

/// As often as there is room.
const ANY: usize = usize::MAX;

impl Rule {
    /// All rules without a pace, for a setup with that many routes.
    pub(super) fn all(routes: usize) -> Vec<Self> {
        let mut all = Vec::new();
        for route in 0..routes.max(1) {
            for order in ORDERS {
                for choice in 0..16_u8 {
                    all.push(Self {
                        order,
                        small_first: choice & 1 == 0,
                        last_store_first: choice & 2 == 0,
                        slow_first: choice & 4 == 0,
                        fullest: choice & 8 == 0,
                        route,
                        pace: ANY,
                    });
                }
            }
        }
        all
    }

    /// The same rule with one thing changed by chance.
    pub(super) fn changed(self, routes: usize, chance: &mut Rng) -> Self {
        let mut rule = self;
        match chance.usize(0..8) {
            0..=2 => rule.order = ORDERS[chance.usize(0..ORDERS.len())],
            3 => rule.small_first = !rule.small_first,
            4 => rule.last_store_first = !rule.last_store_first,
            5 => rule.slow_first = !rule.slow_first,
            6 => rule.pace = [1, 2, 3, ANY][chance.usize(0..4)],
            _ => {
                rule.fullest = chance.bool();
                rule.route = chance.usize(0..routes.max(1));
            }
        }
        rule
    }
}
