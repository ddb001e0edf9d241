//! Carbonation: in the time and at the pressure planned a keg takes up the CO2 of its product, and
//! the holding pressure keeps it there.
//!
//! A keg is as warm as it is: when it is coupled it has what its fill and its time in the store
//! leave it, and while it rests it goes on towards the store's temperature. Colder water takes up
//! more, by about 4 % for each kelvin.

use std::f64::consts::PI;

use model::cooling::{self, State};
use model::kinetics::{self, StillKeg};
use model::{AirContent, Area, Carbonation, Error, GaugePressure, Temperature, TimeSpan, Volume};

use super::air::{self, Airs};
use super::items::{Gas, Tap};
use super::temperature::{self, Kegs};
use super::violation::{Findings, Rule};
use super::walk::{Walk, container, surroundings};
use crate::plan::WorkId;
use crate::scenario::{GasMethod, KegType, Product};

/// Part of the target by which the CO2 taken up may differ from it.
const UPTAKE: f64 = 0.03;
/// Part of the target by which the CO2 kept may differ from it.
const HOLD: f64 = 0.03;
/// A shaken keg is done at this part of its target; the rest follows at its holding pressure.
const SHAKEN_DONE: f64 = 0.97;
/// A 19 L keg 0.220 m wide outside is 0.215 m wide inside; others are taken to be alike.
const INNER_WIDTH: f64 = 0.215 / 0.220;
/// Half of what a gauge shows, in bar: no pressure can be set nearer. A drink with little CO2 may
/// differ by that.
const HALF_A_MARK: f64 = 0.025;
/// Minutes followed at a time while a keg rests.
const SHORT_MIN: f64 = 30.0;
/// Minutes lost in rounding the figures of an item.
const ROUNDING_MIN: f64 = 0.1;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for (gas, kegs) in walk
        .items
        .gassings
        .iter()
        .zip(temperature::at_gassing(walk))
    {
        let place = gas.head.place();
        stated(walk, gas, found);
        let known = (
            found.known(Rule::Carbonation, place, air::of_gas(walk, gas)),
            found.known(Rule::Carbonation, place, kegs),
        );
        if let (Some(airs), Some(kegs)) = known {
            taken_up(walk, gas, (airs, kegs), found);
            let kept = HeldKeg {
                product: gas.product,
                keg: gas.keg,
                bar: gas.hold,
                at: gas.store.air_c,
            };
            kept.judge(walk, airs, "held", place, found);
        }
    }
    for tap in &walk.items.taps {
        let place = tap.head.place();
        if let Some(airs) = found.known(Rule::Carbonation, place, air::of_tap(walk, tap)) {
            let kept = HeldKeg {
                product: tap.product,
                keg: tap.keg,
                bar: tap.serve,
                at: tapped_at(walk, tap),
            };
            kept.judge(walk, airs, "served", place, found);
        }
    }
}

/// How warm a keg on tap is: as cold as its store, or as warm as the site's tap.
pub(super) fn tapped_at(walk: &Walk<'_>, tap: &Tap<'_>) -> Temperature {
    let (store, bar) = (tap.store.air_c, walk.scenario.policy.tap_c);
    match bar {
        Some(bar) if bar > store => bar,
        _ => store,
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

/// Its own water takes up enough in its warmest keg, and the airiest would not take up too much in
/// its coldest.
fn taken_up(walk: &Walk<'_>, gas: &Gas<'_>, (airs, kegs): (Airs, Kegs), found: &mut Findings) {
    let place = gas.head.place();
    let own = content(walk, gas, airs.own, kegs.warmest);
    let airiest = content(walk, gas, airs.most, kegs.coldest);
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
    let one_up = GaugePressure::new(gas.regulator.bar() + HALF_A_MARK)
        .map_err(Error::from)
        .and_then(|regulator| {
            content(
                walk,
                &Gas {
                    regulator,
                    ..gas.clone()
                },
                airs.own,
                kegs.warmest,
            )
        });
    let Some(one_up) = found.known(Rule::Carbonation, place, one_up) else {
        return;
    };
    let off = (target * UPTAKE).max(one_up - own);
    let right = own >= wanted - off && airiest <= wanted + off;
    found.require(right, Rule::Carbonation, place, || {
        let (minutes, bar) = (gas.uptake_min, gas.regulator);
        format!(
            "{minutes:.0} min at {bar} give {own:.2} to {airiest:.2} g/L; {wanted:.2} g/L are \
             wanted"
        )
    });
}

/// CO2 taken up, in g/L, by water with this much air that is this warm at first.
fn content(
    walk: &Walk<'_>,
    gas: &Gas<'_>,
    air: AirContent,
    from: Temperature,
) -> Result<f64, Error> {
    let GasMethod::Shaken { kla_per_s } = gas.station.method else {
        return rested(walk, gas, air, from);
    };
    let time = TimeSpan::from_minutes(gas.uptake_min)?;
    let reached = reached(walk, gas, air, from)?;
    let content = kinetics::after(kla_per_s, Carbonation::NONE, reached, time)?;
    Ok(content.grams_per_litre())
}

/// What it would take up in the end at a temperature.
fn reached(
    walk: &Walk<'_>,
    gas: &Gas<'_>,
    air: AirContent,
    at: Temperature,
) -> Result<Carbonation, Error> {
    let air = air::left_by_purges(walk, gas.keg, air, at)?;
    let total = gas.regulator.absolute(walk.atmosphere)?;
    model::carbonation::dissolved(at, total, air, gas.product.sugar_brix)
}

/// CO2 taken up by a keg that rests: followed in short steps, in each of which it is as warm as in
/// the middle of it.
fn rested(
    walk: &Walk<'_>,
    gas: &Gas<'_>,
    air: AirContent,
    from: Temperature,
) -> Result<f64, Error> {
    let width = gas.keg.diameter_m.metres() * INNER_WIDTH;
    let (liquid, surface) = (
        Volume::new(gas.keg.fill_l.litres())?,
        Area::new(PI / 4.0 * width * width)?,
    );
    let (container, around) = (container(gas.keg)?, surroundings(walk, gas.store));
    let steps = (gas.uptake_min / SHORT_MIN).ceil().max(1.0);
    let half = TimeSpan::from_minutes(gas.uptake_min / steps / 2.0)?;
    // Two states for each step: the second is its middle.
    let mut states = vec![State::BLANK; 2 * steps as usize];
    cooling::curve(&container, around, from, half, &mut states)?;
    let whole = TimeSpan::from_minutes(gas.uptake_min / steps)?;
    let mut content = Carbonation::NONE;
    for state in states.iter().skip(1).step_by(2) {
        let still = StillKeg {
            liquid,
            surface,
            temperature: state.temperature,
        };
        let reached = reached(walk, gas, air, state.temperature)?;
        content = still.after(content, reached, whole)?;
    }
    Ok(content.grams_per_litre())
}

/// A keg of a product kept at a pressure and a temperature.
struct HeldKeg<'a> {
    product: &'a Product,
    keg: &'a KegType,
    bar: GaugePressure,
    at: Temperature,
}

impl HeldKeg<'_> {
    /// Its own water keeps enough, and the airiest would not keep too much.
    fn judge(
        &self,
        walk: &Walk<'_>,
        airs: Airs,
        what: &str,
        place: (usize, &WorkId),
        found: &mut Findings,
    ) {
        let bar = self.bar.bar();
        let (Some(own), Some(airiest), Some(one_up)) = (
            found.known(Rule::Carbonation, place, self.content(walk, airs.own, bar)),
            found.known(Rule::Carbonation, place, self.content(walk, airs.most, bar)),
            found.known(
                Rule::Carbonation,
                place,
                self.content(walk, airs.own, bar + HALF_A_MARK),
            ),
        ) else {
            return;
        };
        let wanted = self.product.carbonation_g_per_l.grams_per_litre();
        let off = (wanted * HOLD).max(one_up - own);
        let right = own >= wanted - off && airiest <= wanted + off;
        found.require(right, Rule::Carbonation, place, || {
            let (bar, at) = (self.bar, self.at);
            format!(
                "{what} at {bar} and {at}, which keeps {own:.2} g/L; {wanted:.2} g/L are wanted"
            )
        });
    }

    /// CO2 at equilibrium with a gauge pressure, in g/L.
    fn content(&self, walk: &Walk<'_>, air: AirContent, bar: f64) -> Result<f64, Error> {
        let air = air::left_by_purges(walk, self.keg, air, self.at)?;
        let total = GaugePressure::new(bar)?.absolute(walk.atmosphere)?;
        let sugar = self.product.sugar_brix;
        let kept = model::carbonation::dissolved(self.at, total, air, sugar)?;
        Ok(kept.grams_per_litre())
    }
}
