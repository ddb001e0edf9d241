//! Gassing: pressure, time and CO2 for a product in a keg on a station.

use std::f64::consts::PI;

use model::gas_budget::{Budget, GassedKeg};
use model::headspace::{Fill, Mixing, Purging};
use model::kinetics::{self, StillKeg};
use model::{
    AbsolutePressure, AirContent, Area, Carbonation, GaugePressure, MassTransfer, Temperature,
    Volume,
};

use super::{NoRecipe, atmosphere, gassing_temperature, goes_into};
use crate::scenario::{GasMethod, GasStation, KegType, Product, Scenario};

/// Part of a keg's stamped rating that gassing may use.
pub(crate) const RATING_SHARE: f64 = 0.8;

/// A shaken keg counts as done at this part of its target; the rest follows while it stands at
/// its pressure.
const SHAKEN_DONE: f64 = 0.97;

/// Inner surface of the liquid over the area of the outer diameter (wall and curve; estimate).
const SURFACE_SHARE: f64 = 0.95;

/// One way of gassing one product in one keg type.
#[derive(Debug, Clone, PartialEq)]
pub struct GasRecipe {
    /// Position of the station.
    pub station: usize,
    /// Position of the product.
    pub product: usize,
    /// Position of the keg type.
    pub keg: usize,
    /// Minutes it is coupled, coupling included.
    pub minutes: f64,
    /// Minutes it takes up CO2.
    pub uptake_minutes: f64,
    /// Pressure of the regulator meanwhile.
    pub regulator: GaugePressure,
    /// Pressure that holds it at its target afterwards.
    pub hold: GaugePressure,
    /// CO2 it takes: dissolved, headspace and purges.
    pub co2_kg: f64,
    /// Minutes of hands at the start: coupling, and shaking where it is shaken.
    pub attended_minutes: f64,
    /// Minutes of hands at the end.
    pub uncouple_minutes: f64,
    /// Litres of syrup dosed in place of water.
    pub syrup_litres: f64,
}

/// How a keg of a product is served, whatever gassed it: one that is in stock may be of a product
/// that no station here gasses.
#[derive(Debug, Clone, PartialEq)]
pub struct ServeRecipe {
    /// Position of the product.
    pub product: usize,
    /// Position of the keg type.
    pub keg: usize,
    /// Pressure that holds it at its target.
    pub hold: GaugePressure,
    /// CO2 that pushes the drink out; none where it is not known for such a pressure.
    pub push_kg: Option<f64>,
}

/// Every station, product, keg type and time that works, and how each keg is served, for water with
/// this much air in it.
pub(super) fn all(
    scenario: &Scenario,
    air: AirContent,
) -> Result<(Vec<GasRecipe>, Vec<ServeRecipe>), NoRecipe> {
    let setup = &scenario.setup;
    let (mut recipes, mut serving) = (Vec::new(), Vec::new());
    for (p, product) in setup.products.iter().enumerate() {
        for (k, keg) in setup.keg_types.iter().enumerate() {
            if !goes_into(product, keg) {
                continue;
            }
            let bench = Bench::of(scenario, product, keg, air)?;
            serving.push(bench.served(p, k));
            for (n, station) in setup.gas_stations.iter().enumerate() {
                let allowed =
                    product.gas_stations.is_empty() || product.gas_stations.contains(&station.id);
                if allowed && station.keg_types.contains(&keg.id) {
                    recipes.extend(bench.on(station, (n, p, k))?);
                }
            }
        }
    }
    Ok((recipes, serving))
}

/// A keg of a product, ready to be gassed.
struct Bench<'a> {
    scenario: &'a Scenario,
    product: &'a Product,
    keg: &'a KegType,
    atmosphere: AbsolutePressure,
    temperature: Temperature,
    /// Pressure of air that is left in the keg after its purges.
    air: AbsolutePressure,
    hold: GaugePressure,
    still: StillKeg,
}

impl<'a> Bench<'a> {
    fn of(
        scenario: &'a Scenario,
        product: &'a Product,
        keg: &'a KegType,
        air: AirContent,
    ) -> Result<Self, NoRecipe> {
        let atmosphere = atmosphere(scenario)?;
        let temperature = gassing_temperature(scenario);
        let liquid = Volume::new(keg.fill_l.litres())?;
        let fill = Fill {
            brim: Volume::new(keg.brim_l.litres())?,
            liquid,
            air,
            temperature,
            atmosphere,
        };
        let purging = Purging {
            gauge: scenario.policy.purge_bar,
            count: u32::from(scenario.policy.purges),
            mixing: Mixing::Prompt,
        };
        let air = model::headspace::air_pressure(&fill, &purging)?;
        let target = product.carbonation_g_per_l;
        let held = model::carbonation::pressure_for(target, temperature, air, product.sugar_brix)?;
        let area = PI / 4.0 * keg.diameter_m.metres().powi(2) * SURFACE_SHARE;
        Ok(Self {
            scenario,
            product,
            keg,
            atmosphere,
            temperature,
            air,
            hold: held.gauge(atmosphere)?,
            still: StillKeg {
                liquid,
                surface: Area::new(area)?,
                temperature,
            },
        })
    }

    /// How it is served.
    fn served(&self, product: usize, keg: usize) -> ServeRecipe {
        let budget = self.budget(self.hold);
        ServeRecipe {
            product,
            keg,
            hold: self.hold,
            push_kg: budget.ok().map(|budget| budget.push.kilograms()),
        }
    }

    /// CO2 of a keg that is held at a pressure.
    fn budget(&self, held: GaugePressure) -> Result<Budget, NoRecipe> {
        Ok(model::gas_budget::keg(&GassedKeg {
            brim: Volume::new(self.keg.brim_l.litres())?,
            liquid: Volume::new(self.keg.fill_l.litres())?,
            temperature: self.temperature,
            held,
            purge: self.scenario.policy.purge_bar,
            purges: u32::from(self.scenario.policy.purges),
            sugar: self.product.sugar_brix,
            atmosphere: self.atmosphere,
        })?)
    }

    /// Highest gauge pressure this keg may be brought to.
    fn ceiling(&self) -> f64 {
        self.keg.rating_bar.bar() * RATING_SHARE
    }

    /// Ways of gassing it on a station; none where its pressure would be too high.
    fn on(
        &self,
        station: &GasStation,
        at: (usize, usize, usize),
    ) -> Result<Vec<GasRecipe>, NoRecipe> {
        if self.hold.bar() > self.ceiling() {
            return Ok(Vec::new());
        }
        match &station.method {
            GasMethod::Shaken { kla_per_s } => {
                self.shaken(station, at, *kla_per_s).map(|r| vec![r])
            }
            GasMethod::Rest { highest_bar, hours } => {
                let highest = highest_bar.bar().min(self.ceiling());
                let mut recipes = Vec::new();
                for rest in hours {
                    if let Some(regulator) = self.pressure_for_rest(rest.hours(), highest)? {
                        let uptake = rest.hours() * 60.0;
                        let couple = station.couple_min.minutes();
                        recipes.push(self.recipe(station, at, regulator, uptake, couple)?);
                    }
                }
                Ok(recipes)
            }
        }
    }

    fn shaken(
        &self,
        station: &GasStation,
        at: (usize, usize, usize),
        kla: MassTransfer,
    ) -> Result<GasRecipe, NoRecipe> {
        let target = self.product.carbonation_g_per_l;
        let done = Carbonation::new(target.grams_per_litre() * SHAKEN_DONE)?;
        let time = kinetics::time(kla, Carbonation::new(0.0)?, done, target)?;
        let attended = station.couple_min.minutes() + time.minutes();
        self.recipe(station, at, self.hold, time.minutes(), attended)
    }

    fn recipe(
        &self,
        station: &GasStation,
        (n, p, k): (usize, usize, usize),
        regulator: GaugePressure,
        uptake_minutes: f64,
        attended_minutes: f64,
    ) -> Result<GasRecipe, NoRecipe> {
        let budget = self.budget(regulator)?;
        // The target is dissolved, whatever the pressure that brought it there.
        let dissolved =
            self.product.carbonation_g_per_l.grams_per_litre() * self.keg.fill_l.litres() / 1000.0;
        let syrup = self.product.syrup.as_ref();
        let share = syrup.map_or(0.0, |s| s.ml_per_l.millilitres_per_litre() / 1000.0);
        Ok(GasRecipe {
            station: n,
            product: p,
            keg: k,
            minutes: attended_minutes.max(station.couple_min.minutes() + uptake_minutes),
            uptake_minutes,
            regulator,
            hold: self.hold,
            co2_kg: dissolved + budget.headspace.kilograms() + budget.purges.kilograms(),
            attended_minutes,
            uncouple_minutes: station.uncouple_min.minutes(),
            syrup_litres: share * self.keg.fill_l.litres(),
        })
    }

    /// Regulator pressure that brings the keg to its target in a rest of these hours; none if that
    /// takes more than `highest`.
    fn pressure_for_rest(
        &self,
        hours: f64,
        highest: f64,
    ) -> Result<Option<GaugePressure>, NoRecipe> {
        if self.uptake_hours(highest)? > hours {
            return Ok(None);
        }
        // Uptake is faster the higher the pressure, so halving the interval closes in on it.
        let (mut slow, mut fast) = (self.hold.bar(), highest);
        while fast - slow > 0.005 {
            let middle = f64::midpoint(slow, fast);
            if self.uptake_hours(middle)? > hours {
                slow = middle;
            } else {
                fast = middle;
            }
        }
        Ok(Some(GaugePressure::new(fast)?))
    }

    /// Hours a resting keg takes to its target at a gauge pressure; without end where the
    /// pressure does not reach it.
    fn uptake_hours(&self, bar: f64) -> Result<f64, NoRecipe> {
        let total = GaugePressure::new(bar)?.absolute(self.atmosphere)?;
        let sugar = self.product.sugar_brix;
        let reached = model::carbonation::dissolved(self.temperature, total, self.air, sugar)?;
        let target = self.product.carbonation_g_per_l;
        if reached.grams_per_litre() <= target.grams_per_litre() * 1.0005 {
            return Ok(f64::INFINITY);
        }
        Ok(self
            .still
            .time(Carbonation::new(0.0)?, target, reached)?
            .hours())
    }
}
