//! Chilling: the ice is enough for the stated temperature, and the bath has the time it takes.

use model::{Conductance, Error, IceFactor, Mass, Temperature};

use super::items::Boil;
use super::violation::{Findings, Rule};
use super::walk::{Walk, filled_at, pot_load};
use crate::scenario::Chill;

/// Kelvins by which a temperature may differ from what the ice brings about.
const KELVIN: f64 = 0.5;
/// Part by which amounts of water, ice and air may differ.
const TOLERANCE: f64 = 0.01;
/// Part, and milligrams per litre, by which the stated air may differ.
const AIR: (f64, f64) = (0.05, 0.2);
/// Minutes lost in rounding the figures of an item.
const ROUNDING_MIN: f64 = 0.1;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for boil in &walk.items.boils {
        stated(boil, found);
        let judged = match boil.route.chill {
            Chill::IceInWater { .. } => mixed(walk, boil, found),
            Chill::IceBath {
                conductance_w_per_k,
                extra_ice_kg,
                ..
            } => bathed(walk, boil, (conductance_w_per_k, extra_ice_kg), found),
            Chill::None => plain(walk, boil, found),
        };
        found.known(Rule::Chilling, boil.head.place(), judged);
        let judged = air(walk, boil, found);
        found.known(Rule::Chilling, boil.head.place(), judged);
        let judged = conserved(walk, boil, found);
        found.known(Rule::Chilling, boil.head.place(), judged);
    }
}

/// The item chills to what its route says, and in order.
fn stated(boil: &Boil<'_>, found: &mut Findings) {
    let (stated, wanted) = (boil.chill_to, filled_at(boil.route));
    let same = (stated - wanted).kelvins().abs() <= KELVIN;
    found.require(same, Rule::Chilling, boil.head.place(), || {
        format!(
            "chilled to {stated}; route {} chills to {wanted}",
            boil.route.id
        )
    });
    let times = [
        boil.head.start,
        boil.chill_at,
        boil.fill_from,
        boil.head.end,
    ];
    found.require(times.is_sorted(), Rule::Chilling, boil.head.place(), || {
        "start, chilling, filling and end do not follow each other".to_owned()
    });
}

/// Ice in the water: at the stated temperature, give or take, the heat that the water and the pot's
/// steel have given is what the ice has taken.
fn mixed(walk: &Walk<'_>, boil: &Boil<'_>, found: &mut Findings) -> Result<(), Error> {
    let stated = boil.chill_to.celsius();
    let at = |celsius: f64| surplus(walk, boil, Temperature::new(celsius)?);
    // Heat is left over at a temperature that is too low, and missing at one that is too high.
    let warm_enough = at((stated - KELVIN).max(0.0))? >= 0.0;
    let cold_enough = at(stated + KELVIN)? <= 0.0;
    found.require(
        warm_enough && cold_enough,
        Rule::Chilling,
        boil.head.place(),
        || {
            let (ice, water) = (boil.ice_in_kg, boil.tap_l);
            let side = if cold_enough { "colder" } else { "warmer" };
            format!(
                "{ice:.1} kg of ice in {water:.1} L of hot water and its pot give water {side} \
                 than {stated:.1} °C"
            )
        },
    );
    no_ice(boil, boil.ice_bath_kg, found);
    Ok(())
}

/// Heat that water and pot give when they are cooled to a temperature, less what the ice takes to
/// become water of it, in joules. Of wet ice only what theory counts takes any.
fn surplus(walk: &Walk<'_>, boil: &Boil<'_>, to: Temperature) -> Result<f64, Error> {
    let ice = &walk.scenario.setup.ice;
    let load = pot_load(boil.pot, cold_litres(walk, boil)?)?;
    let given = load.heat_between(boil.heat_to, to)?.joules();
    let counts = boil.ice_in_kg / ice.factor.unwrap_or(IceFactor::DRY).value();
    let each = model::water::enthalpy(to)? - model::ice::enthalpy(ice.temperature_c)?;
    Ok(given - counts * each)
}

/// The physics measures water cold, at 4 °C.
fn cold_litres(walk: &Walk<'_>, boil: &Boil<'_>) -> Result<f64, Error> {
    let tap = model::water::density(walk.scenario.site.water.temperature_c)?;
    Ok(boil.tap_l * tap / model::water::density(Temperature::of(4.0))?)
}

/// An ice bath: time and ice for the water and the steel of the pot.
fn bathed(
    walk: &Walk<'_>,
    boil: &Boil<'_>,
    (conductance, extra): (Conductance, Mass),
    found: &mut Findings,
) -> Result<(), Error> {
    let load = pot_load(boil.pot, cold_litres(walk, boil)?)?;
    let (from, to) = (boil.heat_to, boil.chill_to);
    let bath = Temperature::FREEZING;
    let needed = model::ice_bath::time(&load, from, to, bath, conductance)?.minutes();
    let there = boil.fill_from.saturating_sub(boil.chill_at) as f64;
    let enough = needed * (1.0 - TOLERANCE) <= there + ROUNDING_MIN;
    found.require(enough, Rule::Chilling, boil.head.place(), || {
        format!("the bath takes {needed:.0} min to reach {to}; filling starts after {there} min")
    });
    let ice_at = walk.scenario.setup.ice.temperature_c;
    let factor = walk.scenario.setup.ice.factor.unwrap_or(IceFactor::DRY);
    let melts = model::ice_bath::ice_used(&load, from, to, ice_at, factor)?;
    let needed = melts.kilograms() + extra.kilograms();
    let enough = boil.ice_bath_kg >= needed * (1.0 - TOLERANCE);
    found.require(enough, Rule::Chilling, boil.head.place(), || {
        format!(
            "{:.1} kg of ice around the pot; it takes {needed:.1} kg",
            boil.ice_bath_kg
        )
    });
    no_ice(boil, boil.ice_in_kg, found);
    Ok(())
}

fn plain(_: &Walk<'_>, boil: &Boil<'_>, found: &mut Findings) -> Result<(), Error> {
    no_ice(boil, boil.ice_in_kg + boil.ice_bath_kg, found);
    Ok(())
}

fn no_ice(boil: &Boil<'_>, kg: f64, found: &mut Findings) {
    found.require(kg <= 0.0, Rule::Chilling, boil.head.place(), || {
        format!("{kg:.1} kg of ice where route {} takes none", boil.route.id)
    });
}

/// The air stated for the finished water is what heating leaves and ice brings.
fn air(walk: &Walk<'_>, boil: &Boil<'_>, found: &mut Findings) -> Result<(), Error> {
    let expected = expected_air(walk, boil)?;
    let off = (boil.air_mg_per_l - expected).abs();
    found.require(
        off <= expected * AIR.0 + AIR.1,
        Rule::Chilling,
        boil.head.place(),
        || {
            let stated = boil.air_mg_per_l;
            format!("{stated:.1} mg/L of air stated; {expected:.1} mg/L are expected")
        },
    );
    Ok(())
}

/// Milligrams of air in the water that was heated, by its hot litres, and in the ice, over the
/// litres of both when they are cold.
fn expected_air(walk: &Walk<'_>, boil: &Boil<'_>) -> Result<f64, Error> {
    let tap = model::water::density(walk.scenario.site.water.temperature_c)?;
    let hot_litres = boil.tap_l * tap / model::water::density(boil.heat_to)?;
    let hot = model::air::after_heating(boil.heat_to, walk.atmosphere)?.milligrams_per_litre();
    let ice = &walk.scenario.setup.ice.air_mg_per_kg;
    let brought = boil.ice_in_kg * ice.milligrams_per_kilogram();
    let cold_litres =
        (boil.tap_l * tap + boil.ice_in_kg) / model::water::density(Temperature::of(4.0))?;
    Ok((hot_litres * hot + brought) / cold_litres)
}

/// What comes out of the pot is what went into it, tap water and ice.
fn conserved(walk: &Walk<'_>, boil: &Boil<'_>, found: &mut Findings) -> Result<(), Error> {
    let tap = model::water::density(walk.scenario.site.water.temperature_c)?;
    let into = boil.tap_l * tap + boil.ice_in_kg;
    let out = boil.makes_l * model::water::density(boil.chill_to)?;
    let same = (out - into).abs() <= into * TOLERANCE;
    found.require(same, Rule::Water, boil.head.place(), || {
        format!(
            "{into:.2} kg of water and ice make {out:.2} kg in {:.2} L",
            boil.makes_l
        )
    });
    Ok(())
}
