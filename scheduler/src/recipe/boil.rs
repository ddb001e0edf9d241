//! Boils: what goes into a pot, how long it takes, and the water that comes out.

use model::heating::Heater;
use model::{
    AbsolutePressure, AirContent, Conductance, Fraction, IceFactor, Load, Mass, Power, Temperature,
    Volume,
};

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
    /// Dissolved air when it is filled, in a litre measured cold: of a boil so large that the pot's
    /// own ice does not count.
    pub air: AirContent,
    /// Air left by the heat, in a litre measured cold.
    pub hot_air: AirContent,
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
        let hot_air = left_by_heating(route.heat_to_c, air_pressure)?;
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
        ice_factor(scenario),
    )?;
    // The recipe's litres are measured cold.
    let cold_density = model::water::density(Temperature::of(4.0))?;
    let hot_kg = recipe.hot.litres() * cold_density / REFERENCE_LITRES;
    let ice_kg = recipe.ice.kilograms() / REFERENCE_LITRES;
    let air = blended(scenario, hot_air, (hot_kg, ice_kg))?;
    let mut water = blank(to, (air, hot_air));
    water.ice_in_kg = ice_kg;
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
    let ice = model::ice_bath::ice_used(
        &load(REFERENCE_LITRES, 0.0)?,
        route.heat_to_c,
        to,
        scenario.setup.ice.temperature_c,
        ice_factor(scenario),
    )?;
    let mut water = blank(to, (air, air));
    water.ice_bath_kg = ice.kilograms() / REFERENCE_LITRES;
    Ok((water, hot_kg))
}

fn plain(at: Temperature, air: AirContent) -> Result<(FillWater, f64), NoRecipe> {
    Ok((blank(at, (air, air)), model::water::density(at)?))
}

fn blank(at: Temperature, (air, hot_air): (AirContent, AirContent)) -> FillWater {
    FillWater {
        at,
        tap_litres: 0.0,
        hot_litres: 0.0,
        ice_in_kg: 0.0,
        ice_bath_kg: 0.0,
        air,
        hot_air,
        agent_g: 0.0,
    }
}

/// How much more ice the site uses than theory asks for.
fn ice_factor(scenario: &Scenario) -> IceFactor {
    scenario.setup.ice.factor.unwrap_or(IceFactor::DRY)
}

/// Air that heating leaves, in a litre measured cold: a hot litre holds less water, by 4 % at 94 °C.
fn left_by_heating(at: Temperature, air: AbsolutePressure) -> Result<AirContent, NoRecipe> {
    let left = model::air::after_heating(at, air)?;
    let shrinks = model::water::density(Temperature::of(4.0))? / model::water::density(at)?;
    Ok(AirContent::new(left.milligrams_per_litre() * shrinks)?)
}

/// Air in hot water and the ice that melts in it, by their kilograms.
fn blended(
    scenario: &Scenario,
    hot_air: AirContent,
    (hot_kg, ice_kg): (f64, f64),
) -> Result<AirContent, NoRecipe> {
    let ice = scenario.setup.ice.air_mg_per_kg.milligrams_per_kilogram();
    let sum = hot_kg * hot_air.milligrams_per_litre() + ice_kg * ice;
    Ok(AirContent::new(sum / (hot_kg + ice_kg))?)
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
    /// Kilograms of ice that do not depend on the volume: the pot's own steel is cooled, too, and a
    /// bath takes more than melts.
    pub fixed_ice_kg: f64,
    /// Litres of tap water in whose place that ice comes, where it goes into the water.
    pub spared_litres: f64,
    /// Dissolved air in the smallest boil, which has the most ice for its water.
    pub most_air: AirContent,
    /// Kilowatt hours taken in that do not depend on the volume.
    pub fixed_kwh: f64,
    /// Kilowatt hours taken in for each litre filled.
    pub kwh_per_litre: f64,
}

impl BoilRecipe {
    pub(super) fn of(
        scenario: &Scenario,
        route_at: usize,
        pot_at: usize,
        water: &FillWater,
    ) -> Result<Self, NoRecipe> {
        let setup = &scenario.setup;
        let (route, pot) = (&setup.routes[route_at], &setup.pots[pot_at]);
        let pot_litres = pot.volume_l.litres();
        let most_litres = pot_litres / water.hot_litres.max(1.0);
        let (bath_minutes, bath_ice_kg) = bath_time(scenario, route, pot, most_litres)?;
        let steel_ice_kg = steel_ice(scenario, route, pot)?;
        let tap_density = model::water::density(scenario.site.water.temperature_c)?;
        let spared_litres = steel_ice_kg / tap_density;
        let least_litres =
            ((pot.smallest_fill_l.litres() + spared_litres) / water.tap_litres).min(most_litres);
        let minutes = |litres: f64| {
            let tap = litres * water.tap_litres - spared_litres;
            heating_minutes(scenario, route, pot, tap)
        };
        // Heating time is a straight line in the volume: the water's heat plus the pot's.
        let (low, high) = (minutes(least_litres)?, minutes(most_litres * 1.001)?);
        let minutes_per_litre = (high - low) / (most_litres * 1.001 - least_litres);
        let heating = low - minutes_per_litre * least_litres;
        let kw = pot.power_w.watts() / 1000.0;
        let mut recipe = Self {
            route: route_at,
            pot: pot_at,
            most_litres,
            least_litres,
            fixed_minutes: heating + route.hold_min.minutes(),
            minutes_per_litre,
            bath_minutes,
            fixed_ice_kg: bath_ice_kg + steel_ice_kg,
            spared_litres,
            most_air: water.air,
            fixed_kwh: heating * kw / 60.0,
            kwh_per_litre: minutes_per_litre * kw / 60.0,
        };
        recipe.most_air = recipe.air(scenario, water, least_litres)?;
        Ok(recipe)
    }

    /// Dissolved air in a boil from which `litres` are filled.
    ///
    /// # Errors
    /// [`NoRecipe`] if a value is outside what the physics is known for.
    pub fn air(
        &self,
        scenario: &Scenario,
        water: &FillWater,
        litres: f64,
    ) -> Result<AirContent, NoRecipe> {
        if self.spared_litres <= 0.0 {
            return Ok(water.air);
        }
        let tap_density = model::water::density(scenario.site.water.temperature_c)?;
        let hot_kg = (litres * water.tap_litres - self.spared_litres) * tap_density;
        let ice_kg = litres * water.ice_in_kg + self.fixed_ice_kg;
        blended(scenario, water.hot_air, (hot_kg, ice_kg))
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

/// Ice in the water that the steel of the pot melts, in place of as much hot water: with a ratio
/// of ice to hot water it is the steel's heat over that of the water, times the ratio's part of the
/// whole.
fn steel_ice(scenario: &Scenario, route: &Route, pot: &Pot) -> Result<f64, NoRecipe> {
    let Chill::IceInWater { to_c } = route.chill else {
        return Ok(0.0);
    };
    let heat = |steel_kg: f64| -> Result<f64, NoRecipe> {
        let load = load(REFERENCE_LITRES, steel_kg)?;
        Ok(load.heat_between(route.heat_to_c, to_c)?.joules())
    };
    let ice_at = scenario.setup.ice.temperature_c;
    let factor = ice_factor(scenario);
    let ratio = model::ice::needed_ratio(route.heat_to_c, to_c, ice_at, factor)?;
    let water = heat(0.0)?;
    if water <= 0.0 {
        return Ok(0.0);
    }
    let steel = heat(pot.empty_kg.kilograms())? - water;
    let cold_density = model::water::density(Temperature::of(4.0))?;
    Ok(steel / water * REFERENCE_LITRES * cold_density * ratio / (1.0 + ratio))
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
    let load = load(tap_litres, pot.empty_kg.kilograms())?;
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
    let from = route.heat_to_c;
    let melting = Temperature::FREEZING;
    let empty_kg = pot.empty_kg.kilograms();
    let full = load(litres, empty_kg)?;
    let time = model::ice_bath::time(&full, from, to_c, melting, conductance_w_per_k)?;
    let ice_at = scenario.setup.ice.temperature_c;
    let factor = ice_factor(scenario);
    let ice = |steel_kg: f64| -> Result<f64, NoRecipe> {
        let load = load(REFERENCE_LITRES, steel_kg)?;
        let used = model::ice_bath::ice_used(&load, from, to_c, ice_at, factor)?;
        Ok(used.kilograms())
    };
    let steel = ice(empty_kg)? - ice(0.0)?;
    Ok((time.minutes(), extra_ice_kg.kilograms() + steel))
}

/// Water and the steel around it.
fn load(litres: f64, steel_kg: f64) -> Result<Load, NoRecipe> {
    Ok(Load {
        liquid: Volume::new(litres)?,
        steel: Mass::new(steel_kg)?,
    })
}

#[cfg(test)]
mod tests {
    use crate::recipe::Recipes;
    use crate::scenario::Scenario;

    /// Tap water, ice and air of 55.5 L by the demo's second route in its large pot.
    fn boil(scenario: &Scenario) -> (f64, f64, f64) {
        let recipes = Recipes::of(scenario).unwrap();
        let found = |b: &&super::BoilRecipe| (b.route, b.pot) == (1, 0);
        let boil = recipes.boils.iter().find(found).unwrap();
        let water = &recipes.water[1];
        (
            55.5 * water.tap_litres - boil.spared_litres,
            55.5 * water.ice_in_kg + boil.fixed_ice_kg,
            boil.air(scenario, water, 55.5)
                .unwrap()
                .milligrams_per_litre(),
        )
    }

    /// By hand, with handbook enthalpies in kJ/kg (water of 94 °C 393.8, of 20 °C 83.9, ice of
    /// -3 °C -339.7) and 0.5 kJ/(kg K) for 9 kg of steel: 31.58 L from the tap, 23.86 kg of ice.
    /// A hot litre weighs 0.9623 kg and holds 2.91 mg of air (Henry constants of IAPWS G7-04, saturated
    /// at 94 °C and 1.006 bar, 60 m up), a kilogram of ice 12 mg: 381.5 mg in 55.38 kg.
    /// The planner measures the filled litres cold, which is 0.2 % more water.
    #[test]
    fn the_ice_cools_the_pot_too() {
        let scenario = crate::sample::fixed();
        let (tap, ice, air) = boil(&scenario);
        assert!((tap - 31.58).abs() < 0.1, "{tap} L");
        assert!((ice - 23.86).abs() < 0.1, "{ice} kg");
        assert!((air - 6.89).abs() < 0.05, "{air} mg/L");
    }

    /// Ice used is ice that counts times the factor, and takes the place of water.
    #[test]
    fn of_wet_ice_it_takes_more() {
        let mut scenario = crate::sample::fixed();
        scenario.setup.ice.factor = Some(model::IceFactor::of(1.1));
        let (tap, ice, _) = boil(&scenario);
        // (55.40 × 309.9 + 333) × 1.1 / (423.6 + 1.1 × 309.9).
        assert!((ice - 25.18).abs() < 0.1, "{ice} kg");
        assert!((tap - 30.25).abs() < 0.1, "{tap} L");
    }
}
