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

use super::air;
use super::items::{Fill, Gas, Tap};
use super::temperature::{self, Kegs};
use super::violation::{Findings, Rule};
use super::waiting::{self, Held};
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
/// Air by which what is stated may differ from what is derived, in mg/L: 1 mg/L takes as much room
/// as 0.2 % of the CO2.
const AIR_MG: f64 = 1.0;
/// Minutes followed at a time while a keg rests.
const SHORT_MIN: f64 = 30.0;
/// Minutes lost in rounding the figures of an item.
const ROUNDING_MIN: f64 = 0.1;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for fill in &walk.items.fills {
        filled(walk, fill, found);
    }
    let held = waiting::at_gassing(walk).iter().copied();
    let gassings = walk.items.gassings.iter().zip(held);
    for ((gas, held), kegs) in gassings.zip(temperature::at_gassing(walk)) {
        let place = gas.head.place();
        stated(walk, gas, found);
        let known = (
            found.known(Rule::Carbonation, place, held),
            found.known(Rule::Carbonation, place, kegs),
        );
        if let (Some(held), Some(kegs)) = known {
            said(gas, held, found);
            taken_up(walk, gas, (held, kegs), found);
            let kept = HeldKeg {
                what: "held",
                together: false,
                product: gas.product,
                keg: gas.keg,
                bar: gas.hold,
                at: gas.store.air_c,
            };
            kept.judge(walk, held, place, found);
        }
    }
    for tap in &walk.items.taps {
        let place = tap.head.place();
        if let Some(held) = found.known(Rule::Carbonation, place, waiting::at_tap(walk, tap)) {
            let kept = HeldKeg {
                what: "served",
                together: true,
                product: tap.product,
                keg: tap.keg,
                bar: tap.serve,
                at: tapped_at(walk, tap),
            };
            kept.judge(walk, held, place, found);
        }
    }
}

/// The air that is stated of a fill is what its boils bring and the fall adds.
fn filled(walk: &Walk<'_>, fill: &Fill<'_>, found: &mut Findings) {
    let place = fill.head.place();
    let range = air::of_fill(walk, fill).and_then(|(least, most, _)| {
        let fallen = |air| air::fallen(walk, fill.at, air);
        Ok((fallen(least)?, fallen(most)?))
    });
    let (Some(stated), Some((least, most))) = (
        fill.air_mg_per_l,
        found.known(Rule::Carbonation, place, range),
    ) else {
        return;
    };
    let right = stated >= least - AIR_MG && stated <= most + AIR_MG;
    found.require(right, Rule::Carbonation, place, || {
        format!("{stated:.1} mg/L of air stated; its water holds {least:.1} to {most:.1}")
    });
}

/// The air that is stated is what its kegs hold.
fn said(gas: &Gas<'_>, held: Held, found: &mut Findings) {
    let Some(stated) = gas.air_mg_per_l else {
        return;
    };
    let (least, most) = (
        held.air.0.milligrams_per_litre(),
        held.air.1.milligrams_per_litre(),
    );
    let right = stated >= least - AIR_MG && stated <= most + AIR_MG;
    found.require(right, Rule::Carbonation, gas.head.place(), || {
        format!("{stated:.1} mg/L of air stated; its kegs hold {least:.1} to {most:.1}")
    });
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

/// Its keg that takes up least takes up enough, and the one that takes up most not too much. Of
/// kegs that nobody knows the history of, what they may hold must only reach what is wanted.
fn taken_up(walk: &Walk<'_>, gas: &Gas<'_>, (held, kegs): (Held, Kegs), found: &mut Findings) {
    let place = gas.head.place();
    let slow = Coupled {
        at: kegs.warmest,
        air: held.air.1,
        co2: held.co2.0,
    };
    let quick = Coupled {
        at: kegs.coldest,
        air: held.air.0,
        co2: held.co2.1,
    };
    let up = GaugePressure::new(gas.regulator.bar() + HALF_A_MARK).map_err(Error::from);
    let (Some(least), Some(most), Some(one_up)) = (
        found.known(
            Rule::Carbonation,
            place,
            slow.content(walk, gas, gas.regulator),
        ),
        found.known(
            Rule::Carbonation,
            place,
            quick.content(walk, gas, gas.regulator),
        ),
        found.known(
            Rule::Carbonation,
            place,
            up.and_then(|up| slow.content(walk, gas, up)),
        ),
    ) else {
        return;
    };
    let target = gas.product.carbonation_g_per_l.grams_per_litre();
    let enough = match gas.station.method {
        GasMethod::Rest { .. } => target,
        GasMethod::Shaken { .. } => target * SHAKEN_DONE,
    };
    let off = (target * UPTAKE).max(one_up - least);
    let right = match held.known {
        true => least >= enough - off && most <= target + off,
        false => most >= enough - off && least <= target + off,
    };
    found.require(right, Rule::Carbonation, place, || {
        let (minutes, bar) = (gas.uptake_min, gas.regulator);
        format!(
            "{minutes:.0} min at {bar} give {least:.2} to {most:.2} g/L; {target:.2} g/L are \
             wanted"
        )
    });
}

/// A keg as it is when it is coupled.
struct Coupled {
    at: Temperature,
    air: AirContent,
    co2: Carbonation,
}

impl Coupled {
    /// CO2 it holds in the end, in g/L.
    fn content(&self, walk: &Walk<'_>, gas: &Gas<'_>, bar: GaugePressure) -> Result<f64, Error> {
        let GasMethod::Shaken { kla_per_s } = gas.station.method else {
            return self.rested(walk, gas, bar);
        };
        let time = TimeSpan::from_minutes(gas.uptake_min)?;
        let reached = self.reached(walk, gas, bar, self.at)?;
        let content = kinetics::after(kla_per_s, self.co2, reached, time)?;
        Ok(content.grams_per_litre())
    }

    /// What it would take up in the end at a temperature.
    fn reached(
        &self,
        walk: &Walk<'_>,
        gas: &Gas<'_>,
        bar: GaugePressure,
        at: Temperature,
    ) -> Result<Carbonation, Error> {
        let air = air::left_by_purges(walk, gas.keg, self.air, at)?;
        let total = bar.absolute(walk.atmosphere)?;
        model::carbonation::dissolved(at, total, air, gas.product.sugar_brix)
    }

    /// CO2 taken up by a keg that rests: followed in short steps, in each of which it is as warm
    /// as in the middle of it.
    fn rested(&self, walk: &Walk<'_>, gas: &Gas<'_>, bar: GaugePressure) -> Result<f64, Error> {
        let (container, around) = (container(gas.keg)?, surroundings(walk, gas.store));
        let steps = (gas.uptake_min / SHORT_MIN).ceil().max(1.0);
        let half = TimeSpan::from_minutes(gas.uptake_min / steps / 2.0)?;
        // Two states for each step: the second is its middle.
        let mut states = vec![State::BLANK; 2 * steps as usize];
        cooling::curve(&container, around, self.at, half, &mut states)?;
        let whole = TimeSpan::from_minutes(gas.uptake_min / steps)?;
        let mut content = self.co2;
        for state in states.iter().skip(1).step_by(2) {
            let still = StillKeg {
                liquid: Volume::new(gas.keg.fill_l.litres())?,
                surface: surface(gas.keg)?,
                temperature: state.temperature,
            };
            let reached = self.reached(walk, gas, bar, state.temperature)?;
            content = still.after(content, reached, whole)?;
        }
        Ok(content.grams_per_litre())
    }
}

/// Surface of the liquid in a keg.
pub(super) fn surface(keg: &KegType) -> Result<Area, Error> {
    let width = keg.diameter_m.metres() * INNER_WIDTH;
    Ok(Area::new(PI / 4.0 * width * width)?)
}

/// A keg of a product kept at a pressure and a temperature.
struct HeldKeg<'a> {
    /// What is done with it, in a word.
    what: &'static str,
    /// Whether kegs that were set by themselves share its pressure.
    together: bool,
    product: &'a Product,
    keg: &'a KegType,
    bar: GaugePressure,
    at: Temperature,
}

impl HeldKeg<'_> {
    /// Its airiest keg keeps enough, and the one with the least air not too much; where they share a
    /// pressure on tap, the middle of them.
    fn judge(&self, walk: &Walk<'_>, held: Held, place: (usize, &WorkId), found: &mut Findings) {
        let bar = self.bar.bar();
        let (Some(least), Some(most), Some(one_up)) = (
            found.known(
                Rule::Carbonation,
                place,
                self.content(walk, held.air.1, bar),
            ),
            found.known(
                Rule::Carbonation,
                place,
                self.content(walk, held.air.0, bar),
            ),
            found.known(
                Rule::Carbonation,
                place,
                self.content(walk, held.air.1, bar + HALF_A_MARK),
            ),
        ) else {
            return;
        };
        let wanted = self.product.carbonation_g_per_l.grams_per_litre();
        let off = (wanted * HOLD).max(one_up - least);
        let middle = f64::midpoint(least, most);
        let right = match (held.known, self.together) {
            (true, false) => least >= wanted - off && most <= wanted + off,
            // One pressure for kegs that were gassed apart: it is right for the middle of them. In
            // the hours of a service they keep what they came with.
            (true, true) => (middle - wanted).abs() <= off,
            (false, _) => most >= wanted - off && least <= wanted + off,
        };
        found.require(right, Rule::Carbonation, place, || {
            let (what, bar, at) = (self.what, self.bar, self.at);
            format!(
                "{what} at {bar} and {at}, which keeps {least:.2} to {most:.2} g/L; {wanted:.2} \
                 g/L are wanted"
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
