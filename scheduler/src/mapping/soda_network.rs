//! The network of a scenario: what its tasks mean, and which of its resources limit what can be done.

use super::cuts;
use crate::check::Checked;
use crate::milp::{Formulation, Shape, formulate};
use crate::network::{Network, ResourceId};
use crate::timeline::Timeline;

/// What a task of the network means, by positions in the scenario's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Work {
    /// Heat a pot: position of the boil recipe, and steps on the heater.
    Boil {
        /// Position in `Recipes::boils`.
        recipe: usize,
        /// Steps on the heater, hold included.
        heater: usize,
    },
    /// Pour away water left in the pots of a route.
    Dump {
        /// The route.
        route: usize,
    },
    /// Fill a keg and put it into a store.
    Fill {
        /// The route.
        route: usize,
        /// The keg type.
        keg: usize,
        /// The store.
        store: usize,
    },
    /// Dose, purge and gas a keg.
    Gas {
        /// Position in `Recipes::gassings`.
        recipe: usize,
        /// The store in which the keg stands.
        store: usize,
    },
    /// Take a keg from its store to the tap.
    Tap {
        /// The product.
        product: usize,
        /// The keg type.
        keg: usize,
        /// The store.
        store: usize,
    },
    /// Serve a line of demand.
    Serve {
        /// The line.
        line: usize,
        /// The product that is poured; another one than the line wants where it stands in.
        product: usize,
        /// The keg type it is poured from.
        keg: usize,
    },
    /// Pour away what has been on tap too long.
    Stale {
        /// The product.
        product: usize,
        /// The keg type.
        keg: usize,
    },
    /// Bring an emptied keg back.
    Return {
        /// The product that was in it.
        product: usize,
        /// The keg type.
        keg: usize,
    },
    /// Empty a keg that has passed its shelf life.
    Discard {
        /// The product.
        product: usize,
        /// The keg type.
        keg: usize,
        /// The store.
        store: usize,
    },
    /// Wash a keg.
    Wash {
        /// The keg type.
        keg: usize,
    },
    /// Have ice delivered.
    BuyIce,
    /// Couple a full CO2 cylinder in place of an empty one.
    ChangeCylinder,
    /// Keep ready kegs at a day's end.
    Keep {
        /// The product.
        product: usize,
        /// The keg type.
        keg: usize,
        /// The store.
        store: usize,
    },
}

impl Work {
    /// In which turn a search settles it: what is tapped, then what is boiled, then all that follows.
    fn turn(&self) -> u8 {
        match self {
            Self::Tap { .. } => 0,
            Self::Boil { .. } => 1,
            _ => 2,
        }
    }
}

/// The network of a scenario, and what its tasks and resources mean.
#[derive(Debug, Clone)]
pub struct SodaNetwork {
    /// The network.
    pub net: Network,
    /// What each task means, in the network's order.
    pub work: Vec<Work>,
    /// Resources that limit what can be done, and what one more unit of each would be.
    pub limits: Vec<Limit>,
    /// Kegs ready, by product and keg type, in all stores together: `(product, keg, resources)`.
    pub ready: Vec<(usize, usize, Vec<ResourceId>)>,
    /// Where kegs and water stand before that.
    pub(crate) stages: Stages,
}

/// Where kegs and water stand before kegs are ready.
#[derive(Debug, Clone, Default)]
pub(crate) struct Stages {
    /// Clean empty kegs, by type.
    pub clean: Vec<ResourceId>,
    /// Dirty empty kegs, by type.
    pub dirty: Vec<ResourceId>,
    /// Water in pots, by route.
    pub water: Vec<ResourceId>,
    /// Cold kegs of water: `[keg type][store]`.
    pub cold: Vec<Vec<ResourceId>>,
    /// Free places, by store.
    pub places: Vec<ResourceId>,
    /// Accounts of what must be used within a time.
    pub within_time: Vec<ResourceId>,
}

impl SodaNetwork {
    /// Writes down the network's program, with the whole-keg rules that tighten its relaxation.
    #[must_use]
    pub fn formulate(&self, scenario: &Checked, timeline: &Timeline) -> Formulation {
        let turns = self.work.iter().map(Work::turn);
        let mut form = formulate(&self.net).in_turns(turns);
        cuts::add(scenario, timeline, self, &mut form);
        form
    }

    /// How large the program is that [`formulate`](Self::formulate) writes down, without writing it.
    #[must_use]
    pub fn shape(&self, scenario: &Checked, timeline: &Timeline) -> Shape {
        let mut shape = Shape::of(&self.net);
        shape += cuts::shape(scenario, timeline, self);
        shape
    }
}

/// A resource that limits what can be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// What it is.
    pub scarce: Scarce,
    /// Its resource.
    pub resource: ResourceId,
}

/// Something there may be too little of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scarce {
    /// A pot, by position.
    Pot(usize),
    /// Power of a circuit.
    Circuit(usize),
    /// Hands on every shift.
    Hands,
    /// Hands for an hour; no limit of its own.
    HourOfHands,
    /// Kilograms of ice.
    Ice,
    /// CO2, by weight or in full cylinders.
    Co2,
    /// A material.
    Material(usize),
    /// Places in a cold store.
    Places(usize),
    /// Cooling power of a cold store.
    Cooling(usize),
    /// Connections of a gassing point.
    Connections(usize),
    /// Connections of a store for kegs that wait under CO2.
    Blanket(usize),
    /// Kegs of a type.
    Kegs(usize),
    /// Washing stations.
    Washing,
}
