//! Chilling: the ice is enough for the stated temperature, and the bath has the time it takes.

use model::ice::{Mix, Mixed};
use model::{AirContent, Conductance, Error, IceFactor, Mass, Temperature, Volume};

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

/// Ice in the water: the mix has the stated temperature and no ice is left in it.
fn mixed(walk: &Walk<'_>, boil: &Boil<'_>, found: &mut Findings) -> Result<(), Error> {
    let mixed = mix(walk, boil)?;
    let (found_c, stated) = (mixed.temperature, boil.chill_to);
    let same = (found_c - stated).kelvins().abs() <= KELVIN;
    found.require(
        same && mixed.unmelted.kilograms() < 0.1,
        Rule::Chilling,
        boil.head.place(),
        || {
            format!(
                "{:.1} kg of ice in {:.1} L of hot water give {:.1} °C, {stated} is stated",
                boil.ice_in_kg,
                boil.tap_l,
                found_c.celsius()
            )
        },
    );
    no_ice(boil, boil.ice_bath_kg, found);
    Ok(())
}

fn mix(walk: &Walk<'_>, boil: &Boil<'_>) -> Result<Mixed, Error> {
    let ice = &walk.scenario.setup.ice;
    model::ice::mixed(&Mix {
        hot: Volume::new(cold_litres(walk, boil)?)?,
        temperature: boil.heat_to,
        air: model::air::after_heating(boil.heat_to, walk.atmosphere)?,
        ice: Mass::new(boil.ice_in_kg)?,
        ice_temperature: ice.temperature_c,
        ice_air: AirContent::new(ice.air_mg_per_kg.milligrams_per_kilogram())?,
    })
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
    let melts = model::ice_bath::ice_used(&load, from, to, ice_at, IceFactor::DRY)?;
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
    let expected = mix(walk, boil)?.air.milligrams_per_litre();
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
