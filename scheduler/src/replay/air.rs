//! Air in the water of a keg, and in the headspace above it.
//!
//! What a keg takes up while it waits is followed beside this (`waiting`).

use model::headspace::{Fill, Mixing, Purging};
use model::{AbsolutePressure, AirContent, Error, IceFactor, Temperature, Volume};

use super::items::{self, Boiled};
use super::walk::{Walk, filled_at};
use crate::scenario::{Chill, KegType, Route};

/// Least and most air in the water of a fill while it is in its pots, in mg/L, and whether its boils
/// are the plan's own.
pub(super) fn of_fill(walk: &Walk<'_>, fill: &items::Fill<'_>) -> Result<(f64, f64, bool), Error> {
    let (mut least, mut most, mut known) = (f64::INFINITY, 0.0_f64, true);
    for boil in &fill.from {
        let (low, high) = match boil {
            Boiled::Planned(boil) => {
                let air = walk.items.boils[*boil].air_mg_per_l;
                (air, air)
            }
            Boiled::Begun(_) => {
                known = false;
                in_pots(walk)?
            }
        };
        (least, most) = (least.min(low), most.max(high));
    }
    if fill.from.is_empty() {
        let (low, high) = in_pots(walk)?;
        return Ok((low, high, false));
    }
    Ok((least, most, known))
}

/// Air in water, in mg/L, after it has fallen into a keg: the distance to saturation is divided by
/// what Butts & Evans found at weirs (1983, from memory).
pub(super) fn fallen(walk: &Walk<'_>, at: Temperature, air: f64) -> Result<f64, Error> {
    let Some(height) = walk.scenario.policy.fall_m.map(|fall| fall.metres()) else {
        return Ok(air);
    };
    let full = model::air::saturated(at, walk.atmosphere)?.milligrams_per_litre();
    let warmth = 1.0 + 0.046 * at.celsius().clamp(0.0, 30.0);
    let ratio = 1.0 + 0.38 * 1.8 * height * (1.0 - 0.11 * height) * warmth;
    Ok(full - (full - air) / ratio)
}

/// Least and most air in the water of the site's routes when it is in a keg, in mg/L.
pub(super) fn of_routes(walk: &Walk<'_>) -> Result<(f64, f64), Error> {
    least_and_most(walk, |route| {
        fallen(walk, filled_at(route), of_route(walk, route)?)
    })
}

/// Least and most air in the water of the site's routes in its pot, in mg/L.
fn in_pots(walk: &Walk<'_>) -> Result<(f64, f64), Error> {
    least_and_most(walk, |route| of_route(walk, route))
}

fn least_and_most(
    walk: &Walk<'_>,
    of: impl Fn(&Route) -> Result<f64, Error>,
) -> Result<(f64, f64), Error> {
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    for route in &walk.scenario.setup.routes {
        let air = of(route)?;
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
