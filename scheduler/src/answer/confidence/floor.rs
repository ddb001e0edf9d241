//! A plan laid out for being replayed many times: its phases in order, and what they need.

use super::cooling::Cooling;
use crate::plan::WorkId;
use crate::scenario::DemandKind;

/// A phase of the work, at its planned minute of the horizon.
#[derive(Debug, Clone)]
pub(super) struct Phase {
    pub at: f64,
    pub what: What,
}

/// What happens in a phase. Items, pots and the rest are positions.
#[derive(Debug, Clone)]
pub(super) enum What {
    /// A pot is filled and lit.
    Light {
        item: usize,
        pot: usize,
        heat: f64,
        hold: f64,
    },
    /// Its water is chilled; the pot may be filled from some minutes later.
    Chill {
        item: usize,
        pot: usize,
        ice_kg: f64,
        bath: f64,
    },
    /// Kegs are filled.
    Fill {
        item: usize,
        boils: Vec<usize>,
        pots: Vec<usize>,
        keg: usize,
        kegs: usize,
        cooling: usize,
        store: usize,
    },
    /// Kegs are gassed.
    Gas {
        item: usize,
        from: Vec<(Option<usize>, usize)>,
        station: usize,
        kegs: usize,
        ready: f64,
        couple: f64,
        uptake: f64,
        shaken: bool,
        product: usize,
        keg: usize,
    },
    /// Kegs are washed.
    Wash {
        item: usize,
        keg: usize,
        kegs: usize,
        minutes: f64,
    },
    /// Ice comes.
    Deliver { kg: f64 },
    /// The bar takes ice.
    Draw { kg: f64 },
    /// A service: kegs are tapped and poured.
    Serve {
        product: usize,
        lines: Vec<usize>,
        taps: Vec<(usize, usize)>,
    },
}

/// A keg that is or will be ready.
#[derive(Debug, Clone, Copy)]
pub(super) struct ReadyKeg {
    /// The minute from which it is.
    pub at: f64,
    /// Its type.
    pub keg: usize,
    /// The minute until which it is good.
    pub good: f64,
}

/// A plan laid out for being replayed.
#[derive(Clone)]
pub(super) struct Floor {
    pub phases: Vec<Phase>,
    /// Minutes of a step.
    pub grid: f64,
    /// Minutes of hands in each step.
    pub hands: Vec<f64>,
    pub ids: Vec<WorkId>,
    /// Minutes of hands each item needs in its phases, by item: at the start, and at the end.
    pub needs: Vec<Need>,
    pub pots: usize,
    pub stations: Vec<usize>,
    pub wash_stations: usize,
    pub stores: usize,
    pub cooling: Vec<Cooling>,
    /// Minutes from which clean kegs of each type are there.
    pub clean: Vec<Vec<f64>>,
    /// Kegs that are or will be ready without the plan, by product.
    pub ready: Vec<Vec<ReadyKeg>>,
    /// Litres on tap, and until when they are good, by product.
    pub on_tap: Vec<Vec<(f64, f64)>>,
    /// Litres a keg of each type yields.
    pub yields: Vec<f64>,
    /// Minutes a product keeps ready, and on tap.
    pub keeps: Vec<(f64, f64)>,
    pub ice: Ice,
    /// Litres and kind of each line.
    pub lines: Vec<(f64, DemandKind)>,
    /// Tap water, and what it is heated to by each pot's usual route.
    pub tap_c: f64,
    pub heat_to_c: f64,
}

/// Hands of an item, in minutes for all its kegs, and for one.
#[derive(Clone, Copy, Default)]
pub(super) struct Need {
    pub all: f64,
    pub each: f64,
    pub last_all: f64,
}

impl Need {
    /// So many minutes for each of so many kegs, at the start.
    pub(super) fn of(each: f64, kegs: u32) -> Self {
        Self {
            all: each * f64::from(kegs),
            each,
            last_all: 0.0,
        }
    }
}

/// The ice machine and its bin.
#[derive(Clone, Copy)]
pub(super) struct Ice {
    pub start_kg: f64,
    pub bin_kg: f64,
    pub per_minute: f64,
}

/// What comes before what is used, within a minute.
pub(super) fn rank(what: &What) -> u8 {
    match what {
        What::Deliver { .. } => 0,
        What::Draw { .. } => 1,
        What::Wash { .. } => 2,
        What::Light { .. } => 3,
        What::Chill { .. } => 4,
        What::Fill { .. } => 5,
        What::Gas { .. } => 6,
        What::Serve { .. } => 7,
    }
}
