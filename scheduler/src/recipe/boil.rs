//! Boils: what goes into a pot, how long it takes, and the water that comes out.

use model::heating::Heater;
use model::{AirContent, Conductance, Fraction, IceFactor, Load, Mass, Power, Temperature, Volume};

use super::{NoRecipe, atmosphere};
use crate::scenario::{Chill, Pot, Route, Scenario};

/// Volume by which per-litre figures are worked out; they do not depend on it.
const REFERENCE_LITRES: f64 = 10.0;

/// Water a route brings to the keg, per litre filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillWater {
    /// Temperature at which it is filled.
    pub at: Temperature,
    /// Litres of tap water heated for a litre filled.
    pub tap_litres: f64,
    /// Litres in the pot at their hottest, for a litre filled.
    pub hot_litres: f64,
    /// Kilograms of ice that become part of a litre filled.
    pub ice_in_kg: f64,
    /// Kilograms of bath ice that melt for a litre filled.
    pub ice_bath_kg: f64,
    /// Dissolved air when it is filled.
    pub air: AirContent,
    /// Grams of the dechlorinating agent for a litre filled.
    pub agent_g: f64,
}

impl FillWater {
    pub(super) fn of(scenario: &Scenario, route: &Route) -> Result<Self, NoRecipe> {
        let air_pressure = atmosphere(scenario)?;
        let boiling = model::water::boiling_point(air_pressure)?;
        if route.heat_to_c > boiling {
            return Err(NoRecipe(format!(
                "water cannot be heated to {}: it boils at {:.1} °C at this elevation",
                route.heat_to_c,
                boiling.celsius()
            )));
        }
        let hot_air = model::air::after_heating(route.heat_to_c, air_pressure)?;
        let (mut water, hot_kg) = match route.chill {
            Chill::IceInWater { to_c } => ice_in_water(scenario, route, to_c, hot_air)?,
            Chill::IceBath { to_c, .. } => bath(scenario, route, to_c, hot_air)?,
            Chill::None => plain(route.heat_to_c, hot_air)?,
        };
        let tap_density = model::water::density(scenario.site.water.temperature_c)?;
        water.tap_litres = hot_kg / tap_density;
        water.hot_litres = hot_kg / model::water::density(route.heat_to_c)?;
        // Ice made from untreated water brings as much chlorine as tap water does.
        let untreated_ice = if scenario.setup.ice.from_treated_water {
            0.0
        } else {
            water.ice_in_kg / tap_density
        };
        water.agent_g = agent_grams(scenario, water.tap_litres + untreated_ice)?;
        Ok(water)
    }

    /// Kilograms of ice for a litre filled, in the water or around the pot.
    #[must_use]
    pub fn ice_kg(&self) -> f64 {
        self.ice_in_kg + self.ice_bath_kg
    }
}

/// Half or more of the water is melted ice, which brings its own air.
fn ice_in_water(
    scenario: &Scenario,
    route: &Route,
    to: Temperature,
    hot_air: AirContent,
) -> Result<(FillWater, f64), NoRecipe> {
    let ice = &scenario.setup.ice;
    let wanted = Volume::new(REFERENCE_LITRES)?;
    let recipe = model::ice::recipe(
        wanted,
        route.heat_to_c,
        to,
        ice.temperature_c,
        IceFactor::DRY,
    )?;
    let mixed = model::ice::mixed(&model::ice::Mix {
        hot: recipe.hot,
        temperature: route.heat_to_c,
        ice: recipe.ice,
        ice_temperature: ice.temperature_c,
        air: hot_air,
        ice_air: AirContent::new(ice.air_mg_per_kg.milligrams_per_kilogram())?,
    })?;
    // The recipe's litres are measured cold.
    let cold_density = model::water::density(Temperature::of(4.0))?;
    let hot_kg = recipe.hot.litres() * cold_density / REFERENCE_LITRES;
    let mut water = blank(to, mixed.air);
    water.ice_in_kg = recipe.ice.kilograms() / REFERENCE_LITRES;
    Ok((water, hot_kg))
}

/// The bath's ice is thrown away, so all the water comes from the tap.
fn bath(
    scenario: &Scenario,
    route: &Route,
    to: Temperature,
    air: AirContent,
) -> Result<(FillWater, f64), NoRecipe> {
    let hot_kg = model::water::density(to)?;
    let load = Load {
        liquid: Volume::new(REFERENCE_LITRES)?,
        steel: Mass::new(0.0)?,
    };
    let ice = model::ice_bath::ice_used(
        &load,
        route.heat_to_c,
        to,
        scenario.setup.ice.temperature_c,
        IceFactor::DRY,
    )?;
    let mut water = blank(to, air);
    water.ice_bath_kg = ice.kilograms() / REFERENCE_LITRES;
    Ok((water, hot_kg))
}

fn plain(at: Temperature, air: AirContent) -> Result<(FillWater, f64), NoRecipe> {
    Ok((blank(at, air), model::water::density(at)?))
}

fn blank(at: Temperature, air: AirContent) -> FillWater {
    FillWater {
        at,
        tap_litres: 0.0,
        hot_litres: 0.0,
        ice_in_kg: 0.0,
        ice_bath_kg: 0.0,
        air,
        agent_g: 0.0,
    }
}

fn agent_grams(scenario: &Scenario, chlorinated_litres: f64) -> Result<f64, NoRecipe> {
    let policy = &scenario.policy;
    let dose = model::dechlorination::dose(
        policy.agent,
        scenario.site.water.total_chlorine_mg_per_l,
        Volume::new(chlorinated_litres * 1000.0)?,
        Fraction::new(policy.agent_margin.ratio())?,
    )?;
    Ok(dose.grams() / 1000.0)
}

/// How a route runs in one of its pots.
#[derive(Debug, Clone, PartialEq)]
pub struct BoilRecipe {
    /// Position of the route.
    pub route: usize,
    /// Position of the pot.
    pub pot: usize,
    /// Litres filled from the fullest boil.
    pub most_litres: f64,
    /// Litres filled from the smallest boil.
    pub least_litres: f64,
    /// Minutes on the heater that do not depend on the volume: the pot itself, and the hold.
    pub fixed_minutes: f64,
    /// Minutes on the heater for each litre filled.
    pub minutes_per_litre: f64,
    /// Minutes in the ice bath, for the fullest boil.
    pub bath_minutes: f64,
    /// Kilograms of bath ice that do not depend on the volume.
    pub fixed_ice_kg: f64,
    /// Kilowatt hours taken in that do not depend on the volume.
    pub fixed_kwh: f64,
    /// Kilowatt hours taken in for each litre filled.
    pub kwh_per_litre: f64,
}

impl BoilRecipe {
    pub(super) fn of(
        scenario: &Scenario,
        (route_at, route): (usize, &Route),
        (pot_at, pot): (usize, &Pot),
        water: &FillWater,
    ) -> Result<Self, NoRecipe> {
        let pot_litres = pot.volume_l.litres();
        let most_litres = pot_litres / water.hot_litres.max(1.0);
        let least_litres = (pot.smallest_fill_l.litres() / water.tap_litres).min(most_litres);
        let minutes =
            |litres: f64| heating_minutes(scenario, route, pot, litres * water.tap_litres);
        // Heating time is a straight line in the volume: the water's heat plus the pot's.
        let (low, high) = (minutes(least_litres)?, minutes(most_litres * 1.001)?);
        let minutes_per_litre = (high - low) / (most_litres * 1.001 - least_litres);
        let heating = low - minutes_per_litre * least_litres;
        let kw = pot.power_w.watts() / 1000.0;
        let (bath_minutes, fixed_ice_kg) = bath_time(scenario, route, pot, most_litres)?;
        Ok(Self {
            route: route_at,
            pot: pot_at,
            most_litres,
            least_litres,
            fixed_minutes: heating + route.hold_min.minutes(),
            minutes_per_litre,
            bath_minutes,
            fixed_ice_kg,
            fixed_kwh: heating * kw / 60.0,
            kwh_per_litre: minutes_per_litre * kw / 60.0,
        })
    }

    /// Minutes on the heater, hold included, for a boil from which `litres` are filled.
    #[must_use]
    pub fn heater_minutes(&self, litres: f64) -> f64 {
        self.fixed_minutes + self.minutes_per_litre * litres
    }

    /// Litres that can be filled from a boil that has `minutes` on the heater, hold included.
    #[must_use]
    pub fn litres_within(&self, minutes: f64) -> f64 {
        ((minutes - self.fixed_minutes) / self.minutes_per_litre).min(self.most_litres)
    }
}

fn heating_minutes(
    scenario: &Scenario,
    route: &Route,
    pot: &Pot,
    tap_litres: f64,
) -> Result<f64, NoRecipe> {
    // A covered pot: its losses are part of its efficiency.
    let heater = Heater {
        power: Power::new(pot.power_w.watts())?,
        efficiency: Fraction::new(pot.efficiency.ratio())?,
        loss: Conductance::of(0.0),
        room: scenario.site.room_c,
    };
    let load = Load {
        liquid: Volume::new(tap_litres)?,
        steel: Mass::new(pot.empty_kg.kilograms())?,
    };
    let from = scenario.site.water.temperature_c;
    let time = model::heating::time(&load, &heater, from, route.heat_to_c)?;
    Ok(time.minutes())
}

/// Minutes of the fullest boil in its ice bath, and the ice it takes over what its water melts.
fn bath_time(
    scenario: &Scenario,
    route: &Route,
    pot: &Pot,
    litres: f64,
) -> Result<(f64, f64), NoRecipe> {
    let Chill::IceBath {
        to_c,
        conductance_w_per_k,
        extra_ice_kg,
    } = route.chill
    else {
        return Ok((0.0, 0.0));
    };
    let load = |litres: f64| -> Result<_, NoRecipe> {
        Ok(Load {
            liquid: Volume::new(litres)?,
            steel: Mass::new(pot.empty_kg.kilograms())?,
        })
    };
    let from = route.heat_to_c;
    let melting = Temperature::FREEZING;
    let time = model::ice_bath::time(&load(litres)?, from, to_c, melting, conductance_w_per_k)?;
    let ice_at = scenario.setup.ice.temperature_c;
    let ice = |load| model::ice_bath::ice_used(&load, from, to_c, ice_at, IceFactor::DRY);
    let bare = Load {
        liquid: Volume::new(REFERENCE_LITRES)?,
        steel: Mass::new(0.0)?,
    };
    let steel = ice(load(REFERENCE_LITRES)?)?.kilograms() - ice(bare)?.kilograms();
    Ok((time.minutes(), extra_ice_kg.kilograms() + steel))
}
