//! Carbonation: in the time and at the pressure planned a keg takes up the CO2 of its product, and
//! the holding pressure keeps it there.
//!
//! Water is taken to be as warm as the site gasses at most. Colder water takes up more, by about
//! 3 % for each kelvin.

use std::f64::consts::PI;

use model::kinetics::{self, StillKeg};
use model::{AirContent, Area, Carbonation, Error, GaugePressure, TimeSpan, Volume};

use super::air::{self, Airs};
use super::items::Gas;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::plan::WorkId;
use crate::scenario::{GasMethod, KegType, Product};

/// Part of the target by which the CO2 taken up may differ from it.
const UPTAKE: f64 = 0.05;
/// Part of the target by which the CO2 kept may differ from it.
const HOLD: f64 = 0.03;
/// A shaken keg is done at this part of its target; the rest follows at its holding pressure.
const SHAKEN_DONE: f64 = 0.97;
/// A 19 L keg 0.220 m wide outside is 0.215 m wide inside; others are taken to be alike.
const INNER_WIDTH: f64 = 0.215 / 0.220;
/// Minutes lost in rounding the figures of an item.
const ROUNDING_MIN: f64 = 0.1;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for gas in &walk.items.gassings {
        let place = gas.head.place();
        stated(walk, gas, found);
        if let Some(airs) = found.known(Rule::Carbonation, place, air::of_gas(walk, gas)) {
            taken_up(walk, gas, airs, found);
            let kept = HeldKeg::of(gas.product, gas.keg, gas.hold);
            kept.judge(walk, airs, "held", place, found);
        }
    }
    for tap in &walk.items.taps {
        let place = tap.head.place();
        if let Some(airs) = found.known(Rule::Carbonation, place, air::of_tap(walk, tap)) {
            let kept = HeldKeg::of(tap.product, tap.keg, tap.serve);
            kept.judge(walk, airs, "served", place, found);
        }
    }
}

/// The item states its product's CO2, and stays coupled for the time it takes up.
fn stated(walk: &Walk<'_>, gas: &Gas<'_>, found: &mut Findings) {
    let (place, product) = (gas.head.place(), gas.product);
    let (stated, wanted) = (gas.target_g_per_l, product.carbonation_g_per_l);
    let same = (stated - wanted.grams_per_litre()).abs() <= 0.05;
    found.require(same, Rule::Carbonation, place, || {
        format!("{stated:.2} g/L stated; {} has {wanted}", product.id)
    });
    let there = gas.ready_at.saturating_sub(gas.head.start) as f64;
    let needed = gas.station.couple_min.minutes() + gas.uptake_min;
    let enough = needed <= there + ROUNDING_MIN;
    found.require(enough, Rule::Carbonation, place, || {
        let ready = walk.time(gas.ready_at);
        format!("coupling and uptake take {needed:.0} min; ready after {there}, at {ready}")
    });
}

/// Its own water takes up enough, and the airiest would not take up too much.
fn taken_up(walk: &Walk<'_>, gas: &Gas<'_>, airs: Airs, found: &mut Findings) {
    let place = gas.head.place();
    let own = content(walk, gas, airs.own);
    let airiest = content(walk, gas, airs.most);
    let (Some(own), Some(airiest)) = (
        found.known(Rule::Carbonation, place, own),
        found.known(Rule::Carbonation, place, airiest),
    ) else {
        return;
    };
    let target = gas.product.carbonation_g_per_l.grams_per_litre();
    let wanted = match gas.station.method {
        GasMethod::Rest { .. } => target,
        GasMethod::Shaken { .. } => target * SHAKEN_DONE,
    };
    let off = target * UPTAKE;
    let right = own >= wanted - off && airiest <= wanted + off;
    found.require(right, Rule::Carbonation, place, || {
        let (minutes, bar) = (gas.uptake_min, gas.regulator);
        format!("{minutes:.0} min at {bar} give {own:.2} g/L; {wanted:.2} g/L are wanted")
    });
}

/// CO2 taken up, in g/L, by water with this much air.
fn content(walk: &Walk<'_>, gas: &Gas<'_>, air: AirContent) -> Result<f64, Error> {
    let temperature = walk.scenario.policy.gas_at_c;
    let air = air::left_by_purges(walk, gas.keg, air)?;
    let total = gas.regulator.absolute(walk.atmosphere)?;
    let sugar = gas.product.sugar_brix;
    let reached = model::carbonation::dissolved(temperature, total, air, sugar)?;
    let time = TimeSpan::from_minutes(gas.uptake_min)?;
    let none = Carbonation::NONE;
    let content = match gas.station.method {
        GasMethod::Shaken { kla_per_s } => kinetics::after(kla_per_s, none, reached, time)?,
        GasMethod::Rest { .. } => {
            let width = gas.keg.diameter_m.metres() * INNER_WIDTH;
            let still = StillKeg {
                liquid: Volume::new(gas.keg.fill_l.litres())?,
                surface: Area::new(PI / 4.0 * width * width)?,
                temperature,
            };
            still.after(none, reached, time)?
        }
    };
    Ok(content.grams_per_litre())
}

/// A keg of a product kept at a pressure.
struct HeldKeg<'a> {
    product: &'a Product,
    keg: &'a KegType,
    bar: GaugePressure,
}

impl<'a> HeldKeg<'a> {
    fn of(product: &'a Product, keg: &'a KegType, bar: GaugePressure) -> Self {
        Self { product, keg, bar }
    }

    /// Its own water keeps enough, and the airiest would not keep too much.
    fn judge(
        &self,
        walk: &Walk<'_>,
        airs: Airs,
        what: &str,
        place: (usize, &WorkId),
        found: &mut Findings,
    ) {
        let (Some(own), Some(airiest)) = (
            found.known(Rule::Carbonation, place, self.content(walk, airs.own)),
            found.known(Rule::Carbonation, place, self.content(walk, airs.most)),
        ) else {
            return;
        };
        let wanted = self.product.carbonation_g_per_l.grams_per_litre();
        let right = own >= wanted * (1.0 - HOLD) && airiest <= wanted * (1.0 + HOLD);
        found.require(right, Rule::Carbonation, place, || {
            let bar = self.bar;
            format!("{what} at {bar}, which keeps {own:.2} g/L; {wanted:.2} g/L are wanted")
        });
    }

    /// CO2 at equilibrium, in g/L.
    fn content(&self, walk: &Walk<'_>, air: AirContent) -> Result<f64, Error> {
        let air = air::left_by_purges(walk, self.keg, air)?;
        let total = self.bar.absolute(walk.atmosphere)?;
        let (at, sugar) = (walk.scenario.policy.gas_at_c, self.product.sugar_brix);
        let kept = model::carbonation::dissolved(at, total, air, sugar)?;
        Ok(kept.grams_per_litre())
    }
}
