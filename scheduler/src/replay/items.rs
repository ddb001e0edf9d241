//! Work items with their names looked up and their times in minutes of the horizon.

use model::{GaugePressure, Temperature};

use crate::plan::{Dose, WorkId};
use crate::scenario::{ColdStore, GasStation, KegType, Pot, Product, Route};

/// Everything a plan has to do, by kind.
#[derive(Default)]
pub(super) struct Items<'a> {
    pub boils: Vec<Boil<'a>>,
    pub fills: Vec<Fill<'a>>,
    pub gassings: Vec<Gas<'a>>,
    pub taps: Vec<Tap<'a>>,
    pub stales: Vec<Stale<'a>>,
    pub returns: Vec<Return<'a>>,
    pub discards: Vec<Discard<'a>>,
    pub washes: Vec<Wash<'a>>,
    pub deliveries: Vec<Delivery<'a>>,
    pub cylinders: Vec<Cylinder<'a>>,
    /// Boils that were started before the plan.
    pub begun: Vec<Begun<'a>>,
}

/// A boil that was started before the plan; its water is still to be filled.
pub(super) struct Begun<'a> {
    pub id: &'a WorkId,
    pub route: &'a Route,
    pub litres: f64,
    pub fill_from: usize,
    pub until: usize,
}

/// Where the water of a fill comes from: a position in the list of boils.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Boiled {
    /// By a boil of the plan.
    Planned(usize),
    /// By one that was started before it.
    Begun(usize),
}

/// Water of a boil, whenever it was started.
#[derive(Clone, Copy)]
pub(super) struct Water<'a> {
    pub id: &'a WorkId,
    pub route: &'a Route,
    pub fill_from: usize,
    pub until: usize,
}

impl<'a> Items<'a> {
    /// The water a fill names.
    pub(super) fn water(&self, from: Boiled) -> Water<'a> {
        match from {
            Boiled::Planned(n) => {
                let boil = &self.boils[n];
                Water {
                    id: boil.head.id,
                    route: boil.route,
                    fill_from: boil.fill_from,
                    until: boil.head.end,
                }
            }
            Boiled::Begun(n) => {
                let begun = &self.begun[n];
                Water {
                    id: begun.id,
                    route: begun.route,
                    fill_from: begun.fill_from,
                    until: begun.until,
                }
            }
        }
    }
}

/// Name, start, end and claimed hands of an item.
#[derive(Clone, Copy)]
pub(super) struct Head<'a> {
    pub id: &'a WorkId,
    /// Minutes from the horizon's start.
    pub start: usize,
    pub end: usize,
    pub hands_min: f64,
}

impl<'a> Head<'a> {
    /// When it starts, and its name: where a violation is found.
    pub(super) fn place(&self) -> (usize, &'a WorkId) {
        (self.start, self.id)
    }
}

pub(super) struct Boil<'a> {
    pub head: Head<'a>,
    pub route: &'a Route,
    pub pot: &'a Pot,
    pub tap_l: f64,
    pub agent_g: f64,
    pub heat_to: Temperature,
    pub heating_min: f64,
    pub hold_min: f64,
    pub air_mg_per_l: f64,
    pub chill_at: usize,
    pub ice_in_kg: f64,
    pub ice_bath_kg: f64,
    pub chill_to: Temperature,
    pub fill_from: usize,
    pub makes_l: f64,
    pub left_l: f64,
}

pub(super) struct Fill<'a> {
    pub head: Head<'a>,
    pub route: &'a Route,
    /// Its boils.
    pub from: Vec<Boiled>,
    pub keg: &'a KegType,
    pub kegs: u32,
    pub store: &'a ColdStore,
    pub litres_each: f64,
    pub at: Temperature,
    pub air_mg_per_l: Option<f64>,
    /// CO2 that is put on it.
    pub blanket: Option<Blanketed>,
    pub cold_at: usize,
}

/// CO2 that is put on a keg when it was filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Blanketed {
    pub purges: u8,
    pub purge: GaugePressure,
    pub bar: GaugePressure,
    pub co2_g_each: f64,
}

/// Where kegs come from: a position in the list of the work that made them, or stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Origin {
    Stock,
    Made(usize),
}

#[derive(Clone)]
pub(super) struct Gas<'a> {
    pub head: Head<'a>,
    pub station: &'a GasStation,
    pub product: &'a Product,
    pub keg: &'a KegType,
    pub kegs: u32,
    pub store: &'a ColdStore,
    pub from: Vec<(Origin, u32)>,
    pub syrup: Option<&'a str>,
    pub syrup_l_each: f64,
    pub ingredients: &'a [Dose],
    pub purges: u8,
    pub purge: GaugePressure,
    pub regulator: GaugePressure,
    pub hold: GaugePressure,
    pub uptake_min: f64,
    pub target_g_per_l: f64,
    pub co2_g_each: f64,
    pub air_mg_per_l: Option<f64>,
    pub ready_at: usize,
}

pub(super) struct Tap<'a> {
    pub head: Head<'a>,
    pub product: &'a Product,
    pub keg: &'a KegType,
    pub kegs: u32,
    pub store: &'a ColdStore,
    pub from: Vec<(Origin, u32)>,
    pub serve: GaugePressure,
}

pub(super) struct Stale<'a> {
    pub head: Head<'a>,
    pub product: &'a Product,
    pub keg: &'a KegType,
    pub litres: f64,
}

pub(super) struct Return<'a> {
    pub head: Head<'a>,
    pub product: &'a Product,
    pub keg: &'a KegType,
    pub kegs: u32,
}

pub(super) struct Discard<'a> {
    pub head: Head<'a>,
    pub product: &'a Product,
    pub keg: &'a KegType,
    pub kegs: u32,
    pub store: &'a ColdStore,
}

pub(super) struct Wash<'a> {
    pub head: Head<'a>,
    pub keg: &'a KegType,
    pub kegs: u32,
}

pub(super) struct Delivery<'a> {
    pub head: Head<'a>,
    pub kg: f64,
    /// Minutes from the horizon's start; below zero before it.
    pub order_by: i64,
}

pub(super) struct Cylinder<'a> {
    pub head: Head<'a>,
    pub cylinders: u32,
    pub co2_kg_each: f64,
}
