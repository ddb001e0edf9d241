//! Carbonation: in the time and at the pressure planned a keg takes up the CO2 of its product, and
//! the holding pressure keeps it there.
//!
//! Water is taken to be as warm as the site gasses at most. Colder water takes up more, by about
//! 3 % for each kelvin.

use std::f64::consts::PI;

use model::headspace::{Fill, Mixing, Purging};
use model::kinetics::{self, StillKeg};
use model::{
    AbsolutePressure, AirContent, Area, Carbonation, Error, GaugePressure, TimeSpan, Volume,
};

use super::items::{Gas, Origin};
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::plan::WorkId;
use crate::scenario::{Chill, GasMethod, KegType, Product, Route};

/// Part of the target by which the CO2 taken up may differ from it.
const UPTAKE: f64 = 0.05;
/// Part by which a holding pressure may differ from what holds the target.
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
        for air in found
            .known(Rule::Carbonation, place, airs(walk, gas))
            .into_iter()
            .flatten()
        {
            let content = taken_up(walk, gas, air);
            if let Some(content) = found.known(Rule::Carbonation, place, content) {
                judge_uptake(gas, content, found);
            }
            held(
                walk,
                (gas.product, gas.keg),
                air,
                (gas.hold, "held"),
                place,
                found,
            );
        }
    }
    for tap in &walk.items.taps {
        let (keg, place) = ((tap.product, tap.keg), tap.head.place());
        let Some(air) = found.known(Rule::Carbonation, place, airiest(walk)) else {
            continue;
        };
        held(walk, keg, air, (tap.serve, "served"), place, found);
    }
}

/// The item states its product's CO2, and stays coupled for the time it takes up.
fn stated(walk: &Walk<'_>, gas: &Gas<'_>, found: &mut Findings) {
    let (stated, wanted) = (gas.target_g_per_l, gas.product.carbonation_g_per_l);
    let same = (stated - wanted.grams_per_litre()).abs() <= 0.05;
    found.require(same, Rule::Carbonation, gas.head.place(), || {
        format!("{stated:.2} g/L stated; {} has {wanted}", gas.product.id)
    });
    let there = gas.ready_at.saturating_sub(gas.head.start) as f64;
    let needed = gas.station.couple_min.minutes() + gas.uptake_min;
    found.require(
        needed <= there + ROUNDING_MIN,
        Rule::Carbonation,
        gas.head.place(),
        || {
            let ready = walk.time(gas.ready_at);
            format!(
                "coupling and uptake take {needed:.0} min; it is ready after {there}, at {ready}"
            )
        },
    );
}

fn judge_uptake(gas: &Gas<'_>, content: f64, found: &mut Findings) {
    let target = gas.product.carbonation_g_per_l.grams_per_litre();
    let wanted = match gas.station.method {
        GasMethod::Rest { .. } => target,
        GasMethod::Shaken { .. } => target * SHAKEN_DONE,
    };
    let same = (content - wanted).abs() <= target * UPTAKE;
    found.require(same, Rule::Carbonation, gas.head.place(), || {
        format!(
            "{:.0} min at {} give {content:.2} g/L; {wanted:.2} g/L are wanted",
            gas.uptake_min, gas.regulator
        )
    });
}

/// CO2 taken up, in g/L, by water with this much air.
fn taken_up(walk: &Walk<'_>, gas: &Gas<'_>, air: AirContent) -> Result<f64, Error> {
    let temperature = walk.scenario.policy.gas_at_c;
    let air = air_pressure(walk, gas.keg, air)?;
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

/// A pressure keeps a keg at its target.
fn held(
    walk: &Walk<'_>,
    (product, keg): (&Product, &KegType),
    air: AirContent,
    (stated, what): (GaugePressure, &str),
    place: (usize, &WorkId),
    found: &mut Findings,
) {
    let needed = air_pressure(walk, keg, air).and_then(|air| {
        let at = walk.scenario.policy.gas_at_c;
        let target = product.carbonation_g_per_l;
        let total = model::carbonation::pressure_for(target, at, air, product.sugar_brix)?;
        Ok(total.gauge(walk.atmosphere)?)
    });
    if let Some(needed) = found.known(Rule::Carbonation, place, needed) {
        let same = (stated.bar() - needed.bar()).abs() <= needed.bar().abs() * HOLD;
        found.require(same, Rule::Carbonation, place, || {
            format!(
                "{what} at {stated}; {:.2} bar keep {}",
                needed.bar(),
                product.id
            )
        });
    }
}

/// Air in the headspace after the purges.
fn air_pressure(
    walk: &Walk<'_>,
    keg: &KegType,
    air: AirContent,
) -> Result<AbsolutePressure, Error> {
    let fill = Fill {
        brim: Volume::new(keg.brim_l.litres())?,
        liquid: Volume::new(keg.fill_l.litres())?,
        air,
        temperature: walk.scenario.policy.gas_at_c,
        atmosphere: walk.atmosphere,
    };
    let purging = Purging {
        gauge: walk.scenario.policy.purge_bar,
        count: u32::from(walk.scenario.policy.purges),
        mixing: Mixing::Prompt,
    };
    model::headspace::air_pressure(&fill, &purging)
}

/// The air in the water of each source; kegs from stock may hold the airiest the site makes.
fn airs(walk: &Walk<'_>, gas: &Gas<'_>) -> Result<Vec<AirContent>, Error> {
    let mut airs = Vec::new();
    for (origin, _) in &gas.from {
        match origin {
            Origin::Stock => airs.push(airiest(walk)?),
            Origin::Made(n) => {
                for boil in &walk.items.fills[*n].from {
                    airs.push(AirContent::new(walk.items.boils[*boil].air_mg_per_l)?);
                }
            }
        }
    }
    Ok(airs)
}

/// The airiest water any route of the site makes.
fn airiest(walk: &Walk<'_>) -> Result<AirContent, Error> {
    let mut most = 0.0_f64;
    for route in &walk.scenario.setup.routes {
        most = most.max(air_of(walk, route)?);
    }
    Ok(AirContent::new(most)?)
}

/// Air in the water of a route, in mg/L: what heating leaves and ice brings.
fn air_of(walk: &Walk<'_>, route: &Route) -> Result<f64, Error> {
    let hot = model::air::after_heating(route.heat_to_c, walk.atmosphere)?;
    let Chill::IceInWater { to_c } = route.chill else {
        return Ok(hot.milligrams_per_litre());
    };
    let ice = &walk.scenario.setup.ice;
    let ratio = model::ice::needed_ratio(
        route.heat_to_c,
        to_c,
        ice.temperature_c,
        model::IceFactor::DRY,
    )?;
    let brought = ratio * ice.air_mg_per_kg.milligrams_per_kilogram();
    Ok((hot.milligrams_per_litre() + brought) / (1.0 + ratio))
}
