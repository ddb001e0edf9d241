//! A keg of a product in a store, and the pressures it takes there.

use model::gas_budget::{Budget, GassedKeg};
use model::headspace::{Fill, Mixing, Purging};
use model::{AbsolutePressure, AirContent, GaugePressure, Temperature, Volume};

use super::course::Course;
use super::gas::{GasRecipe, RATING_SHARE, ServeRecipe};
use super::{NoRecipe, Recipes, atmosphere, surroundings};
use crate::scenario::{ColdStore, GasMethod, KegType, Product, Scenario};

/// Grams per litre by which a rest may miss its target: a tenth of what a gauge can be read to.
const EXACT: f64 = 0.001;

/// What a gauge can be set to, in bar.
const GAUGE_BAR: f64 = 0.05;

/// What to set for kegs that are coupled together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetPoints {
    /// Pressure of the regulator while they take up CO2, as a gauge can be set.
    pub regulator: GaugePressure,
    /// CO2 each of them takes: dissolved, headspace and purges.
    pub co2_kg: f64,
    /// CO2 by which the coldest of them differ from the warmest, as part of their target.
    pub spread: f64,
}

/// What to set for kegs gassed by a recipe, the coldest and the warmest of which are this warm when
/// they are coupled; none where it takes a higher pressure than the station or the keg allows.
///
/// # Errors
/// [`NoRecipe`] if a value is outside what the physics is known for.
///
/// ```
/// let scenario = scheduler::sample::fixed();
/// let recipes = scheduler::recipe::Recipes::of(&scenario)?;
/// let (recipe, cold) = (&recipes.gassings[0], model::Temperature::of(2.0));
/// let set = scheduler::recipe::set_points(&scenario, &recipes, recipe, (cold, cold))?;
/// // A keg as cold as its store takes less pressure than one that is just cold enough.
/// assert!(set.is_some_and(|set| set.regulator < recipe.regulator));
/// # Ok::<(), scheduler::recipe::NoRecipe>(())
/// ```
pub fn set_points(
    scenario: &Scenario,
    recipes: &Recipes,
    recipe: &GasRecipe,
    temperatures: (Temperature, Temperature),
) -> Result<Option<SetPoints>, NoRecipe> {
    let setup = &scenario.setup;
    let kind = (
        &setup.products[recipe.product],
        &setup.keg_types[recipe.keg],
        &setup.cold_stores[recipe.store],
    );
    let bench = Bench::of(scenario, kind, recipes.most_air)?;
    let method = &setup.gas_stations[recipe.station].method;
    bench.set(method, recipe.uptake_minutes, temperatures)
}

/// Gauge pressure at which a product keeps its CO2 at a temperature, with no air in its keg.
pub(crate) fn held_at(
    scenario: &Scenario,
    product: &Product,
    at: Temperature,
) -> Result<GaugePressure, NoRecipe> {
    equilibrium(
        product,
        at,
        (AbsolutePressure::VACUUM, atmosphere(scenario)?),
    )
}

/// Gauge pressure at which a product keeps its CO2 at a temperature, with this much air in its keg
/// and outside.
fn equilibrium(
    product: &Product,
    at: Temperature,
    (inside, outside): (AbsolutePressure, AbsolutePressure),
) -> Result<GaugePressure, NoRecipe> {
    let (target, sugar) = (product.carbonation_g_per_l, product.sugar_brix);
    Ok(model::carbonation::pressure_for(target, at, inside, sugar)?.gauge(outside)?)
}

/// A keg of a product in a store.
pub(super) struct Bench<'a> {
    scenario: &'a Scenario,
    pub(super) product: &'a Product,
    keg: &'a KegType,
    pub(super) store: &'a ColdStore,
    atmosphere: AbsolutePressure,
    /// Air in its water.
    air: AirContent,
    /// Pressure that holds it at its target in its store.
    pub(super) hold: GaugePressure,
}

impl<'a> Bench<'a> {
    pub(super) fn of(
        scenario: &'a Scenario,
        (product, keg, store): (&'a Product, &'a KegType, &'a ColdStore),
        air: AirContent,
    ) -> Result<Self, NoRecipe> {
        let mut bench = Self {
            scenario,
            product,
            keg,
            store,
            atmosphere: atmosphere(scenario)?,
            air,
            hold: GaugePressure::of(0.0),
        };
        bench.hold = bench.at_equilibrium(store.air_c)?;
        Ok(bench)
    }

    /// Gauge pressure at which it keeps its target at a temperature, as a gauge can be set.
    fn at_equilibrium(&self, at: Temperature) -> Result<GaugePressure, NoRecipe> {
        let airs = (self.air_left(at)?, self.atmosphere);
        settable(equilibrium(self.product, at, airs)?.bar(), f64::INFINITY)
    }

    /// Pressure of the air that its purges leave.
    fn air_left(&self, temperature: Temperature) -> Result<AbsolutePressure, NoRecipe> {
        let fill = Fill {
            brim: Volume::new(self.keg.brim_l.litres())?,
            liquid: Volume::new(self.keg.fill_l.litres())?,
            air: self.air,
            temperature,
            atmosphere: self.atmosphere,
        };
        let purging = Purging {
            gauge: self.scenario.policy.purge_bar,
            count: u32::from(self.scenario.policy.purges),
            mixing: Mixing::Prompt,
        };
        Ok(model::headspace::air_pressure(&fill, &purging)?)
    }

    /// How it is served: as cold as its store, or as warm as the tap.
    pub(super) fn served(
        &self,
        (product, keg, store): (usize, usize, usize),
    ) -> Result<ServeRecipe, NoRecipe> {
        let cold = self.store.air_c;
        let tap = self.scenario.policy.tap_c.filter(|tap| *tap > cold);
        let at = tap.unwrap_or(cold);
        let serve = match tap {
            Some(tap) => self.at_equilibrium(tap)?,
            None => self.hold,
        };
        let budget = self.budget(serve, at);
        Ok(ServeRecipe {
            product,
            keg,
            store,
            serve,
            takes_it: serve.bar() <= self.ceiling(),
            push_kg: budget.ok().map(|budget| budget.push.kilograms()),
        })
    }

    /// CO2 of a keg at a pressure and a temperature.
    fn budget(&self, held: GaugePressure, at: Temperature) -> Result<Budget, NoRecipe> {
        Ok(model::gas_budget::keg(&GassedKeg {
            brim: Volume::new(self.keg.brim_l.litres())?,
            liquid: Volume::new(self.keg.fill_l.litres())?,
            temperature: at,
            held,
            purge: self.scenario.policy.purge_bar,
            purges: u32::from(self.scenario.policy.purges),
            sugar: self.product.sugar_brix,
            atmosphere: self.atmosphere,
        })?)
    }

    /// CO2 it takes when it is purged at one temperature and left at another.
    pub(super) fn co2_kg(
        &self,
        regulator: GaugePressure,
        (purged, left): (Temperature, Temperature),
    ) -> Result<f64, NoRecipe> {
        // The target is dissolved, whatever the pressure that brought it there.
        let target = self.product.carbonation_g_per_l.grams_per_litre();
        let dissolved = target * self.keg.fill_l.litres() / 1000.0;
        let purges = self.budget(regulator, purged)?.purges.kilograms();
        let headspace = self.budget(regulator, left)?.headspace.kilograms();
        Ok(dissolved + purges + headspace)
    }

    /// Litres of syrup dosed in place of water.
    pub(super) fn syrup_litres(&self) -> f64 {
        let syrup = self.product.syrup.as_ref();
        let share = syrup.map_or(0.0, |s| s.ml_per_l.millilitres_per_litre() / 1000.0);
        share * self.keg.fill_l.litres()
    }

    /// Highest gauge pressure this keg may be brought to.
    fn ceiling(&self) -> f64 {
        self.keg.rating_bar.bar() * RATING_SHARE
    }

    /// Set points for kegs of these temperatures; none where they are too high.
    pub(super) fn set(
        &self,
        method: &GasMethod,
        uptake_minutes: f64,
        temperatures: (Temperature, Temperature),
    ) -> Result<Option<SetPoints>, NoRecipe> {
        if self.hold.bar() > self.ceiling() {
            return Ok(None);
        }
        match method {
            GasMethod::Shaken { .. } => self.shaken(temperatures),
            GasMethod::Rest { highest_bar, .. } => {
                let highest = highest_bar.bar().min(self.ceiling());
                self.rested(uptake_minutes, highest, temperatures)
            }
        }
    }

    /// Shaken at the equilibrium of its own temperature, which minutes do not change.
    fn shaken(
        &self,
        (coldest, warmest): (Temperature, Temperature),
    ) -> Result<Option<SetPoints>, NoRecipe> {
        let middle = Temperature::new(f64::midpoint(coldest.celsius(), warmest.celsius()))?;
        let regulator = self.at_equilibrium(middle)?;
        if regulator.bar() > self.ceiling() {
            return Ok(None);
        }
        let content = |at: Temperature| -> Result<f64, NoRecipe> {
            let total = regulator.absolute(self.atmosphere)?;
            let (air, sugar) = (self.air_left(at)?, self.product.sugar_brix);
            let kept = model::carbonation::dissolved(at, total, air, sugar)?;
            Ok(kept.grams_per_litre())
        };
        let spread = content(coldest)? - content(warmest)?;
        Ok(Some(SetPoints {
            regulator,
            co2_kg: self.co2_kg(regulator, (middle, middle))?,
            spread: spread / self.product.carbonation_g_per_l.grams_per_litre(),
        }))
    }

    /// The pressure at which the coldest and the warmest of them together come to the target.
    fn rested(
        &self,
        minutes: f64,
        highest: f64,
        (coldest, warmest): (Temperature, Temperature),
    ) -> Result<Option<SetPoints>, NoRecipe> {
        let around = surroundings(self.store, self.atmosphere);
        let air = self.air_left(self.store.air_c)?;
        let course = |from| Course::of(self.keg, around, from, minutes);
        let (cold, warm) = (course(coldest)?, course(warmest)?);
        let target = self.product.carbonation_g_per_l.grams_per_litre();
        let contents = |bar: f64| -> Result<(f64, f64), NoRecipe> {
            let total = GaugePressure::new(bar)?.absolute(self.atmosphere)?;
            let of = |course: &Course| course.content(total, air, self.product.sugar_brix);
            let most = of(&cold)?.grams_per_litre();
            // Most kegs are alike, and a course takes time to follow.
            let least = match coldest == warmest {
                true => most,
                false => of(&warm)?.grams_per_litre(),
            };
            Ok((most, least))
        };
        let over = |bar: f64| -> Result<f64, NoRecipe> {
            let (most, least) = contents(bar)?;
            Ok(f64::midpoint(most, least) - target)
        };
        let Some(bar) = root(over, 0.0, highest)? else {
            return Ok(None);
        };
        let regulator = settable(bar, highest)?;
        let (most, least) = contents(regulator.bar())?;
        let middle = Temperature::new(f64::midpoint(coldest.celsius(), warmest.celsius()))?;
        Ok(Some(SetPoints {
            regulator,
            co2_kg: self.co2_kg(regulator, (middle, cold.end()))?,
            spread: (most - least) / target,
        }))
    }
}

/// The pressure nearest to this one that a gauge can be set to and that is not over `highest`.
fn settable(bar: f64, highest: f64) -> Result<GaugePressure, NoRecipe> {
    let marks = (bar / GAUGE_BAR).round();
    let over = marks * GAUGE_BAR > highest + 1e-9;
    let marks = if over { marks - 1.0 } else { marks };
    Ok(GaugePressure::new(marks * GAUGE_BAR)?)
}

/// Where a rising function passes zero, to within [`EXACT`]; none where it does not by `high`.
/// False position with the Illinois rule (Dowell & Jarratt 1971).
fn root(
    over: impl Fn(f64) -> Result<f64, NoRecipe>,
    low: f64,
    high: f64,
) -> Result<Option<f64>, NoRecipe> {
    let (mut low, mut below) = (low, over(low)?);
    let (mut high, mut above) = (high, over(high)?);
    if above < 0.0 {
        return Ok(None);
    }
    if below >= 0.0 {
        return Ok(Some(low));
    }
    let mut last = 0;
    for _ in 0..60 {
        let bar = (low * above - high * below) / (above - below);
        let at = over(bar)?;
        if at.abs() <= EXACT {
            return Ok(Some(bar));
        }
        if at > 0.0 {
            (high, above) = (bar, at);
            below /= if last > 0 { 2.0 } else { 1.0 };
            last = 1;
        } else {
            (low, below) = (bar, at);
            above /= if last < 0 { 2.0 } else { 1.0 };
            last = -1;
        }
    }
    Ok(Some(high))
}
