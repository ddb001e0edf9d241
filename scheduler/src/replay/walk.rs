//! The floor the plan is walked on: its clock, its items and the physics of what stands there.

use std::cell::OnceCell;

use model::cooling::{Container, Surroundings};
use model::{AbsolutePressure, Error, Fraction, Length, Load, Mass, Volume};

use super::items::Items;
use super::temperature::Kegs;
use super::waiting::Held;
use crate::plan::Plan;
use crate::scenario::{Chill, ColdStore, ContainerMaterial, KegType, Pot, Route, Scenario};
use crate::timeline::Timeline;

/// Emissivity of clean stainless steel (handbooks: 0.1 to 0.3).
const STEEL_EMISSIVITY: f64 = 0.2;
/// Emissivity of plastic (handbooks: about 0.9).
const PLASTIC_EMISSIVITY: f64 = 0.9;

/// A plan on its floor.
pub(super) struct Walk<'a> {
    pub scenario: &'a Scenario,
    pub plan: &'a Plan,
    pub items: Items<'a>,
    /// Only for civil time.
    pub clock: Timeline,
    /// Minutes of the horizon.
    pub minutes: usize,
    /// Minutes of a step.
    pub grid: usize,
    /// Pressure of the site's air.
    pub atmosphere: AbsolutePressure,
    /// Worked out once, for the rules that ask for it.
    pub(super) at_gassing: OnceCell<Vec<Result<Kegs, Error>>>,
    pub(super) held: OnceCell<Vec<Result<Held, Error>>>,
}

impl<'a> Walk<'a> {
    pub(super) fn new(
        scenario: &'a Scenario,
        plan: &'a Plan,
        items: Items<'a>,
    ) -> Result<Self, Error> {
        let clock = scenario.horizon.timeline(scenario.site.time_zone);
        let minutes = (clock.end() - clock.start()).num_minutes();
        Ok(Self {
            scenario,
            plan,
            items,
            minutes: usize::try_from(minutes).unwrap_or(0),
            grid: usize::from(scenario.horizon.grid_minutes.minutes()),
            atmosphere: model::atmosphere::pressure_at(scenario.site.elevation_m)?,
            clock,
            at_gassing: OnceCell::new(),
            held: OnceCell::new(),
        })
    }

    /// Minutes from the horizon's start to an instant of the site's clock; below zero before it.
    pub(super) fn minute(&self, at: chrono::DateTime<chrono::Utc>) -> i64 {
        (at - self.clock.start()).num_seconds().div_euclid(60)
    }

    /// The same, rounded up to a full minute.
    pub(super) fn minute_after(&self, at: chrono::DateTime<chrono::Utc>) -> i64 {
        (at - self.clock.start() + chrono::Duration::seconds(59))
            .num_seconds()
            .div_euclid(60)
    }

    /// The minute from which something that is delivered is there; what was due before the horizon
    /// has arrived.
    pub(super) fn arrival(&self, at: chrono::DateTime<chrono::FixedOffset>) -> usize {
        let minute = self.minute_after(at.to_utc());
        usize::try_from(minute).map_or(0, |m| m.next_multiple_of(self.grid))
    }

    /// The name of an instant on the site's clock.
    pub(super) fn time(&self, minute: usize) -> String {
        let after = chrono::Duration::minutes(i64::try_from(minute).unwrap_or(0));
        let at = self.clock.local(self.clock.start() + after);
        at.format("%a %H:%M").to_string()
    }
}

/// Water in a pot or a keg, with its steel.
pub(super) fn load(litres: f64, steel_kg: f64) -> Result<Load, Error> {
    Ok(Load {
        liquid: Volume::new(litres)?,
        steel: Mass::new(steel_kg)?,
    })
}

/// A full pot's water, with its steel.
pub(super) fn pot_load(pot: &Pot, cold_litres: f64) -> Result<Load, Error> {
    load(cold_litres, pot.empty_kg.kilograms())
}

/// A filled keg as the physics sees it.
pub(super) fn container(keg: &KegType) -> Result<Container, Error> {
    let emissivity = match keg.material {
        ContainerMaterial::Steel => STEEL_EMISSIVITY,
        ContainerMaterial::Pet => PLASTIC_EMISSIVITY,
    };
    Ok(Container {
        load: load(keg.fill_l.litres(), keg.empty_kg.kilograms())?,
        diameter: Length::new(keg.diameter_m.metres())?,
        height: Length::new(keg.height_m.metres())?,
        emissivity: Fraction::new(emissivity)?,
    })
}

/// The air a keg stands in.
pub(super) fn surroundings(walk: &Walk<'_>, store: &ColdStore) -> Surroundings {
    Surroundings {
        air: store.air_c,
        speed: store.air_speed_m_per_s,
        atmosphere: walk.atmosphere,
    }
}

/// Temperature at which a route's water is filled.
pub(super) fn filled_at(route: &Route) -> model::Temperature {
    match route.chill {
        Chill::IceInWater { to_c } | Chill::IceBath { to_c, .. } => to_c,
        Chill::None => route.heat_to_c,
    }
}
