//! Air in the water of a keg, and in the headspace above it.
//!
//! A site sets one pressure for all kegs of a product. Water that holds less air than the site's
//! airiest then gets a little more CO2, so a pressure is right where the keg's own water gets
//! enough and the airiest does not get too much.

use model::headspace::{Fill, Mixing, Purging};
use model::{AbsolutePressure, AirContent, Error, IceFactor, Temperature, Volume};

use super::items::{Boiled, Gas, Origin, Tap};
use super::walk::Walk;
use crate::scenario::{Chill, KegType, Route};

/// Least and most air to reckon with, in mg/L.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Airs {
    /// Least air in the keg's own water.
    pub own: AirContent,
    /// Most air in any water the site makes.
    pub most: AirContent,
}

/// Air in the kegs of a gassing.
pub(super) fn of_gas(walk: &Walk<'_>, gas: &Gas<'_>) -> Result<Airs, Error> {
    let (least, most) = of_routes(walk)?;
    airs(own(walk, gas, least), most)
}

/// Air in kegs that are tapped.
pub(super) fn of_tap(walk: &Walk<'_>, tap: &Tap<'_>) -> Result<Airs, Error> {
    let (least, most) = of_routes(walk)?;
    let own = tap.from.iter().map(|(origin, _)| match origin {
        Origin::Stock => least,
        Origin::Made(n) => own(walk, &walk.items.gassings[*n], least),
    });
    airs(own.fold(most, f64::min), most)
}

fn airs(own: f64, most: f64) -> Result<Airs, Error> {
    Ok(Airs {
        own: AirContent::new(own)?,
        most: AirContent::new(most.max(own))?,
    })
}

/// Least air in the boils of a gassing; kegs from stock may hold the least the site makes.
fn own(walk: &Walk<'_>, gas: &Gas<'_>, least: f64) -> f64 {
    let mut own = f64::INFINITY;
    for (origin, _) in &gas.from {
        match origin {
            Origin::Stock => own = own.min(least),
            Origin::Made(n) => {
                for boil in &walk.items.fills[*n].from {
                    own = own.min(match boil {
                        Boiled::Planned(boil) => walk.items.boils[*boil].air_mg_per_l,
                        Boiled::Begun(_) => least,
                    });
                }
            }
        }
    }
    if own.is_finite() { own } else { least }
}

/// Least and most air in the water of the site's routes, in mg/L.
fn of_routes(walk: &Walk<'_>) -> Result<(f64, f64), Error> {
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    for route in &walk.scenario.setup.routes {
        let air = of_route(walk, route)?;
        least = least.min(air);
        most = most.max(air);
    }
    Ok((least.min(most), most))
}

/// Air in the water of a route, in mg/L measured cold: what heating leaves and ice brings. The ice
/// that cools the pot itself is not counted: it is some 2 % of all, and changes a pressure by less
/// than a gauge shows.
fn of_route(walk: &Walk<'_>, route: &Route) -> Result<f64, Error> {
    let hot = model::air::after_heating(route.heat_to_c, walk.atmosphere)?;
    // A kilogram of hot water takes more room than one of cold.
    let hot = hot.milligrams_per_litre() / model::water::density(route.heat_to_c)?;
    let Chill::IceInWater { to_c } = route.chill else {
        return Ok(hot);
    };
    let ice = &walk.scenario.setup.ice;
    let (from, at) = (route.heat_to_c, ice.temperature_c);
    let factor = ice.factor.unwrap_or(IceFactor::DRY);
    let ratio = model::ice::needed_ratio(from, to_c, at, factor)?;
    let brought = ratio * ice.air_mg_per_kg.milligrams_per_kilogram();
    Ok((hot + brought) / (1.0 + ratio))
}

/// Pressure of the air in the headspace after the site's purges, at a temperature.
pub(super) fn left_by_purges(
    walk: &Walk<'_>,
    keg: &KegType,
    air: AirContent,
    temperature: Temperature,
) -> Result<AbsolutePressure, Error> {
    let policy = &walk.scenario.policy;
    let fill = Fill {
        brim: Volume::new(keg.brim_l.litres())?,
        liquid: Volume::new(keg.fill_l.litres())?,
        air,
        temperature,
        atmosphere: walk.atmosphere,
    };
    let purging = Purging {
        gauge: policy.purge_bar,
        count: u32::from(policy.purges),
        mixing: Mixing::Prompt,
    };
    model::headspace::air_pressure(&fill, &purging)
}
