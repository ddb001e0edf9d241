//! What kegs hold when they are coupled: the air and the CO2 that crossed their surface since they
//! were filled.
//!
//! A keg that waits under air takes it up towards saturation; its lid does not seal without
//! pressure behind it. One that waits under CO2 takes up none, and some CO2 instead. It is followed
//! in short steps, in each of which it is as warm as in the middle of it.

use model::cooling::{self, State};
use model::kinetics::StillKeg;
use model::{
    AbsolutePressure, AirContent, Carbonation, Error, GaugePressure, SugarContent, Temperature,
    TimeSpan,
};

use super::air;
use super::items::{Fill, Gas, Origin, Tap};
use super::uptake::surface;
use super::walk::{Walk, container, surroundings};
use crate::scenario::{ColdStore, KegType};

/// Minutes followed at a time.
const SHORT_MIN: f64 = 30.0;
/// Water hotter than this takes up no CO2 that counts, and the law of it is not known there.
const HOT: Temperature = Temperature::of(40.0);

/// Least and most of what an item's kegs hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Held {
    /// Air in their water.
    pub air: (AirContent, AirContent),
    /// CO2 in their water.
    pub co2: (Carbonation, Carbonation),
    /// Whether all of them are the plan's own: of others nobody knows how long they stood.
    pub known: bool,
}

impl Held {
    fn joined(self, other: Self) -> Self {
        let wider = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
        let airs = |h: Self| {
            (
                h.air.0.milligrams_per_litre(),
                h.air.1.milligrams_per_litre(),
            )
        };
        let co2s = |h: Self| (h.co2.0.grams_per_litre(), h.co2.1.grams_per_litre());
        let (air, co2) = (
            wider(airs(self), airs(other)),
            wider(co2s(self), co2s(other)),
        );
        // Numbers that came from quantities are within their bounds.
        Self {
            air: (AirContent::of(air.0), AirContent::of(air.1)),
            co2: (Carbonation::of(co2.0), Carbonation::of(co2.1)),
            known: self.known && other.known,
        }
    }
}

/// What the kegs of each gassing hold when it starts, in the order of the gassings.
pub(super) fn at_gassing<'w>(walk: &'w Walk<'_>) -> &'w [Result<Held, Error>] {
    walk.held.get_or_init(|| {
        let gassings = walk.items.gassings.iter();
        gassings.map(|gas| of_gas(walk, gas)).collect()
    })
}

/// What kegs hold that are tapped: air as they were gassed with, since CO2 above it lets none in.
pub(super) fn at_tap(walk: &Walk<'_>, tap: &Tap<'_>) -> Result<Held, Error> {
    let each = tap.from.iter().map(|(origin, _)| match origin {
        Origin::Stock => stood(walk, tap.store),
        Origin::Made(n) => at_gassing(walk)[*n],
    });
    all(each, || stood(walk, tap.store))
}

fn of_gas(walk: &Walk<'_>, gas: &Gas<'_>) -> Result<Held, Error> {
    let each = gas.from.iter().map(|(origin, _)| match origin {
        Origin::Stock => in_stock(walk, gas),
        Origin::Made(n) => {
            let fill = &walk.items.fills[*n];
            let full = fill.head.start + walk.grid;
            waited(walk, fill, gas.head.start.saturating_sub(full))
        }
    });
    all(each, || stood(walk, gas.store))
}

fn all(
    each: impl Iterator<Item = Result<Held, Error>>,
    none: impl Fn() -> Result<Held, Error>,
) -> Result<Held, Error> {
    let mut sum: Option<Held> = None;
    for held in each {
        let held = held?;
        sum = Some(sum.map_or(held, |sum| sum.joined(held)));
    }
    sum.map_or_else(none, Ok)
}

/// Kegs that stood filled when the plan started, any of them: followed from then on where it is
/// known what they held.
fn in_stock(walk: &Walk<'_>, gas: &Gas<'_>) -> Result<Held, Error> {
    let filled = walk.scenario.stock.filled.iter();
    let here = filled.filter(|f| f.keg_type == gas.keg.id && f.store == gas.store.id);
    let each = here.map(|filled| {
        let Some(air) = filled.air_mg_per_l else {
            return stood(walk, gas.store);
        };
        let from = filled.temperature_c;
        let course = followed(walk, (gas.keg, gas.store), from, gas.head.start)?;
        let mut held = Held {
            air: (air, air),
            known: false,
            ..stood(walk, gas.store)?
        };
        if walk.scenario.policy.blanket_bar.is_none() {
            let then = course.aired(walk, gas.keg, air.milligrams_per_litre())?;
            held.air = (then, then);
        }
        Ok(held)
    });
    all(each, || stood(walk, gas.store))
}

/// Kegs that stood before the plan started, nobody knows how long: from not at all to for ever.
fn stood(walk: &Walk<'_>, store: &ColdStore) -> Result<Held, Error> {
    let (least, most) = air::of_routes(walk)?;
    let water = (AirContent::new(least)?, AirContent::new(most)?);
    let (air, co2) = match walk.scenario.policy.blanket_bar {
        Some(bar) => (water, blanketed(walk, store.air_c, bar)?),
        None => {
            let full = model::air::saturated(store.air_c, walk.atmosphere)?;
            let most = if full > water.1 { full } else { water.1 };
            ((water.0, most), Carbonation::NONE)
        }
    };
    Ok(Held {
        air,
        co2: (Carbonation::NONE, co2),
        known: false,
    })
}

/// CO2 in water at equilibrium with a blanket.
fn blanketed(walk: &Walk<'_>, at: Temperature, bar: GaugePressure) -> Result<Carbonation, Error> {
    let total = bar.absolute(walk.atmosphere)?;
    model::carbonation::dissolved(at, total, AbsolutePressure::VACUUM, SugarContent::of(0.0))
}

/// The kegs of a fill after some minutes.
fn waited(walk: &Walk<'_>, fill: &Fill<'_>, minutes: usize) -> Result<Held, Error> {
    let (least, most, known) = air::of_fill(walk, fill)?;
    let (least, most) = (
        air::fallen(walk, fill.at, least)?,
        air::fallen(walk, fill.at, most)?,
    );
    let course = followed(walk, (fill.keg, fill.store), fill.at, minutes)?;
    let mut held = Held {
        air: (AirContent::new(least)?, AirContent::new(most)?),
        co2: (Carbonation::NONE, Carbonation::NONE),
        known,
    };
    if let Some(bar) = walk.scenario.policy.blanket_bar {
        let co2 = course.carbonated(walk, fill.keg, bar)?;
        held.co2 = (co2, co2);
    } else {
        held.air = (
            course.aired(walk, fill.keg, least)?,
            course.aired(walk, fill.keg, most)?,
        );
    }
    Ok(held)
}

/// How warm a keg is while it waits: in the middle of each of some equal steps.
struct Wait {
    temperatures: Vec<Temperature>,
    each: TimeSpan,
}

fn followed(
    walk: &Walk<'_>,
    (keg, store): (&KegType, &ColdStore),
    from: Temperature,
    minutes: usize,
) -> Result<Wait, Error> {
    let minutes = minutes as f64;
    let steps = (minutes / SHORT_MIN).ceil().max(1.0);
    let half = TimeSpan::from_minutes(minutes / steps / 2.0)?;
    let mut states = vec![State::BLANK; 2 * steps as usize];
    cooling::curve(
        &container(keg)?,
        surroundings(walk, store),
        from,
        half,
        &mut states,
    )?;
    let middles = states.iter().skip(1).step_by(2);
    Ok(Wait {
        temperatures: middles.map(|state| state.temperature).collect(),
        each: TimeSpan::from_minutes(minutes / steps)?,
    })
}

impl Wait {
    /// Air in its water in the end: in each step a part of what is missing to saturation crosses
    /// the surface.
    fn aired(&self, walk: &Walk<'_>, keg: &KegType, before: f64) -> Result<AirContent, Error> {
        let metres = keg.fill_l.litres() / 1000.0 / surface(keg)?.square_metres();
        let mut air = before;
        for at in &self.temperatures {
            let full = model::air::saturated(*at, walk.atmosphere)?.milligrams_per_litre();
            let speed = model::air::still_surface(*at)?.metres_per_second();
            air += (full - air) * (1.0 - (-speed * self.each.seconds() / metres).exp());
        }
        Ok(AirContent::new(air)?)
    }

    /// CO2 in its water in the end.
    fn carbonated(
        &self,
        walk: &Walk<'_>,
        keg: &KegType,
        bar: GaugePressure,
    ) -> Result<Carbonation, Error> {
        let mut content = Carbonation::NONE;
        for at in self.temperatures.iter().filter(|at| **at <= HOT) {
            let still = StillKeg {
                liquid: model::Volume::new(keg.fill_l.litres())?,
                surface: surface(keg)?,
                temperature: *at,
            };
            content = still.after(content, blanketed(walk, *at, bar)?, self.each)?;
        }
        Ok(content)
    }
}
