//! Heating: as hot as the route says, in the time the burner needs, and not above the boil.

use model::heating::Heater;
use model::{Conductance, Error, Fraction, Power};

use super::items::Boil;
use super::violation::{Findings, Rule};
use super::walk::{Walk, pot_load};

/// A heating time may be this much shorter than computed.
const TOLERANCE: f64 = 0.01;
/// Minutes lost in rounding the figures of an item.
const ROUNDING_MIN: f64 = 0.1;
/// Kelvins by which an item's temperature may differ from its route's.
const SAME_KELVIN: f64 = 0.1;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for boil in &walk.items.boils {
        hot_enough(walk, boil, found);
        long_enough(walk, boil, found);
        fits(walk, boil, found);
    }
}

fn hot_enough(walk: &Walk<'_>, boil: &Boil<'_>, found: &mut Findings) {
    let (place, heat_to) = (boil.head.place(), boil.heat_to);
    let wanted = boil.route.heat_to_c;
    let same = (heat_to - wanted).kelvins().abs() <= SAME_KELVIN;
    found.require(same, Rule::Heating, place, || {
        format!(
            "heated to {heat_to}; route {} heats to {wanted}",
            boil.route.id
        )
    });
    let held = boil.hold_min >= boil.route.hold_min.minutes() - ROUNDING_MIN;
    found.require(held, Rule::Heating, place, || {
        let wanted = boil.route.hold_min;
        format!(
            "held for {:.1} min; the route holds it for {wanted}",
            boil.hold_min
        )
    });
    let boiling = model::water::boiling_point(walk.atmosphere);
    if let Some(boiling) = found.known(Rule::Heating, place, boiling) {
        found.require(heat_to <= boiling, Rule::Heating, place, || {
            format!(
                "heated to {heat_to}; water boils at {:.1} °C here",
                boiling.celsius()
            )
        });
    }
}

fn long_enough(walk: &Walk<'_>, boil: &Boil<'_>, found: &mut Findings) {
    let needed = needed_minutes(walk, boil);
    if let Some(needed) = found.known(Rule::Heating, boil.head.place(), needed) {
        let enough = boil.heating_min >= needed * (1.0 - TOLERANCE);
        found.require(enough, Rule::Heating, boil.head.place(), || {
            let (planned, litres) = (boil.heating_min, boil.tap_l);
            format!("{planned:.1} min to heat {litres:.1} L; it takes {needed:.1} min")
        });
    }
}

/// A covered pot: what it loses to the room is part of its efficiency.
fn needed_minutes(walk: &Walk<'_>, boil: &Boil<'_>) -> Result<f64, Error> {
    let (pot, site) = (boil.pot, &walk.scenario.site);
    let heater = Heater {
        power: Power::new(pot.power_w.watts())?,
        efficiency: Fraction::new(pot.efficiency.ratio())?,
        loss: Conductance::new(0.0)?,
        room: site.room_c,
    };
    let tap = site.water.temperature_c;
    let load = pot_load(pot, boil.tap_l)?;
    Ok(model::heating::time(&load, &heater, tap, boil.heat_to)?.minutes())
}

/// The water is hot, and has been held hot, when chilling starts.
fn fits(walk: &Walk<'_>, boil: &Boil<'_>, found: &mut Findings) {
    let there = boil.chill_at.saturating_sub(boil.head.start) as f64;
    let needed = boil.heating_min + boil.hold_min;
    found.require(needed <= there + ROUNDING_MIN, Rule::Heating, boil.head.place(), || {
        format!(
            "heating and holding take {needed:.1} min; chilling starts after {there} min, at {}",
            walk.time(boil.chill_at)
        )
    });
}
