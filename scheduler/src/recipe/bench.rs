//! A keg of a product in a store, and the pressures it takes there.

use model::gas_budget::{Budget, GassedKeg};
use model::headspace::{Fill, Mixing, Purging};
use model::{
    AbsolutePressure, AirContent, Carbonation, GaugePressure, SugarContent, Temperature, Volume,
};

use super::course::Course;
use super::gas::{GasRecipe, RATING_SHARE, ServeRecipe};
use super::waiting::WaitedKeg;
use super::{NoRecipe, atmosphere, surroundings};
use crate::scenario::{ColdStore, GasMethod, KegType, Product, Scenario};

/// Grams per litre by which a rest may miss its target: a tenth of what a gauge can be read to.
const EXACT: f64 = 0.001;

/// Part of the target that may be missing where the highest pressure gives no more.
const SHORT: f64 = 0.02;

/// What a gauge can be set to, in bar.
const GAUGE_BAR: f64 = 0.05;

/// What to set for kegs that are coupled together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetPoints {
    /// Pressure of the regulator while they take up CO2, as a gauge can be set.
    pub regulator: GaugePressure,
    /// Pressure that holds them at their target afterwards, at their store's temperature.
    pub hold: GaugePressure,
    /// CO2 each of them takes: dissolved, headspace and purges.
    pub co2_kg: f64,
    /// CO2 by which those that take up most differ from those that take up least, as part of their
    /// target.
    pub spread: f64,
    /// Air in their water, as it is in the middle of them.
    pub air: AirContent,
}

/// What to set for kegs gassed together by a recipe, as they are when they are coupled; none where
/// it takes a higher pressure than the station or the keg allows.
///
/// # Errors
/// [`NoRecipe`] if a value is outside what the physics is known for.
///
/// ```
/// use model::{AirContent, Carbonation, Temperature};
/// use scheduler::recipe::{Recipes, WaitedKeg, set_points};
///
/// let scenario = scheduler::sample::fixed();
/// let recipes = Recipes::of(&scenario)?;
/// let recipe = &recipes.gassings[0];
/// let cold = WaitedKeg {
///     temperature: Temperature::of(2.0),
///     air: AirContent::of(8.0),
///     co2: Carbonation::NONE,
/// };
/// let set = set_points(&scenario, recipe, &[cold])?;
/// // A keg as cold as its store takes less pressure than one that is just cold enough.
/// assert!(set.is_some_and(|set| set.regulator < recipe.regulator));
/// # Ok::<(), scheduler::recipe::NoRecipe>(())
/// ```
pub fn set_points(
    scenario: &Scenario,
    recipe: &GasRecipe,
    kegs: &[WaitedKeg],
) -> Result<Option<SetPoints>, NoRecipe> {
    let setup = &scenario.setup;
    let kind = (
        &setup.products[recipe.product],
        &setup.keg_types[recipe.keg],
        &setup.cold_stores[recipe.store],
    );
    let bench = Bench::of(scenario, kind, middle_air(kegs)?)?;
    let method = &setup.gas_stations[recipe.station].method;
    bench.set(method, recipe.uptake_minutes, kegs)
}

/// Pressure that keeps kegs of a product at their target on tap, with this much air in them.
///
/// # Errors
/// [`NoRecipe`] if a value is outside what the physics is known for.
pub(crate) fn served_at(
    scenario: &Scenario,
    kind: (&Product, &KegType, &ColdStore),
    air: AirContent,
) -> Result<GaugePressure, NoRecipe> {
    let bench = Bench::of(scenario, kind, air)?;
    Ok(bench.served((0, 0, 0))?.serve)
}

/// The air in the middle of what kegs hold.
fn middle_air(kegs: &[WaitedKeg]) -> Result<AirContent, NoRecipe> {
    let airs = kegs.iter().map(|keg| keg.air.milligrams_per_litre());
    let (least, most) = bounds(airs);
    Ok(AirContent::new(f64::midpoint(least, most))?)
}

/// Least and greatest of some numbers; zero of none.
fn bounds(numbers: impl Iterator<Item = f64>) -> (f64, f64) {
    let widen = |found: Option<(f64, f64)>, x: f64| match found {
        Some((least, most)) => Some((least.min(x), most.max(x))),
        None => Some((x, x)),
    };
    numbers.fold(None, widen).unwrap_or((0.0, 0.0))
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
    /// Air in its water when it is coupled.
    pub(super) air: AirContent,
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

    pub(super) fn kind(&self) -> (&'a KegType, &'a ColdStore) {
        (self.keg, self.store)
    }

    /// Gauge pressure at which it keeps its target at a temperature, as a gauge can be set.
    fn at_equilibrium(&self, at: Temperature) -> Result<GaugePressure, NoRecipe> {
        let airs = (self.air_left(at, self.air)?, self.atmosphere);
        settable(equilibrium(self.product, at, airs)?.bar(), f64::INFINITY)
    }

    /// Pressure of the air that its purges leave, with this much in its water.
    fn air_left(
        &self,
        temperature: Temperature,
        air: AirContent,
    ) -> Result<AbsolutePressure, NoRecipe> {
        let fill = Fill {
            brim: Volume::new(self.keg.brim_l.litres())?,
            liquid: Volume::new(self.keg.fill_l.litres())?,
            air,
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

    /// CO2 it takes when it is purged at one temperature and left at another, with what is in its
    /// water by then.
    pub(super) fn co2_kg(
        &self,
        regulator: GaugePressure,
        (purged, left): (Temperature, Temperature),
        before: Carbonation,
    ) -> Result<f64, NoRecipe> {
        // The target is dissolved, whatever the pressure that brought it there.
        let target = self.product.carbonation_g_per_l.grams_per_litre();
        let missing = (target - before.grams_per_litre()).max(0.0);
        let dissolved = missing * self.keg.fill_l.litres() / 1000.0;
        let purges = match purges_at_gassing(self.scenario, self.product) {
            0 => 0.0,
            _ => self.budget(regulator, purged)?.purges.kilograms(),
        };
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

    /// Set points for kegs as they are when they are coupled; none where they are too high.
    pub(super) fn set(
        &self,
        method: &GasMethod,
        uptake_minutes: f64,
        kegs: &[WaitedKeg],
    ) -> Result<Option<SetPoints>, NoRecipe> {
        if self.hold.bar() > self.ceiling() {
            return Ok(None);
        }
        match method {
            GasMethod::Shaken { .. } => self.shaken(kegs),
            GasMethod::Rest { highest_bar, .. } => {
                let highest = highest_bar.bar().min(self.ceiling());
                self.rested(uptake_minutes, highest, kegs)
            }
        }
    }

    /// Shaken at the equilibrium of its own temperature, which minutes do not change.
    fn shaken(&self, kegs: &[WaitedKeg]) -> Result<Option<SetPoints>, NoRecipe> {
        let middle = self.middle(kegs)?;
        let regulator = self.at_equilibrium(middle.temperature)?;
        if regulator.bar() > self.ceiling() {
            return Ok(None);
        }
        let total = regulator.absolute(self.atmosphere)?;
        let content = |keg: &WaitedKeg| -> Result<f64, NoRecipe> {
            let air = self.air_left(keg.temperature, keg.air)?;
            let sugar = self.product.sugar_brix;
            let kept = model::carbonation::dissolved(keg.temperature, total, air, sugar)?;
            Ok(kept.grams_per_litre())
        };
        let contents = kegs.iter().map(content).collect::<Result<Vec<_>, _>>()?;
        let temperatures = (middle.temperature, middle.temperature);
        let co2_kg = self.co2_kg(regulator, temperatures, middle.co2)?;
        Ok(Some(self.set_to(
            regulator,
            co2_kg,
            bounds(contents.into_iter()),
        )))
    }

    /// The pressure at which those that take up most and those that take up least come to the
    /// target together.
    fn rested(
        &self,
        minutes: f64,
        highest: f64,
        kegs: &[WaitedKeg],
    ) -> Result<Option<SetPoints>, NoRecipe> {
        let resting = kegs
            .iter()
            .map(|keg| self.resting(keg, minutes))
            .collect::<Result<Vec<_>, _>>()?;
        let target = self.product.carbonation_g_per_l.grams_per_litre();
        let contents = |bar: f64| -> Result<(f64, f64), NoRecipe> {
            let total = GaugePressure::new(bar)?.absolute(self.atmosphere)?;
            let of = |keg: &Resting| keg.content(total, self.product.sugar_brix);
            let all = resting.iter().map(of).collect::<Result<Vec<_>, _>>()?;
            Ok(bounds(all.into_iter()))
        };
        let over = |bar: f64| -> Result<f64, NoRecipe> {
            let (least, most) = contents(bar)?;
            Ok(f64::midpoint(most, least) - target)
        };
        let bar = match root(over, 0.0, highest)? {
            Some(bar) => bar,
            None if over(highest)? >= -SHORT * target => highest,
            None => return Ok(None),
        };
        let regulator = settable(bar, highest)?;
        let middle = self.middle(kegs)?;
        let ends = resting.iter().map(|keg| keg.course.end().celsius());
        let coldest = Temperature::new(bounds(ends).0)?;
        let co2_kg = self.co2_kg(regulator, (middle.temperature, coldest), middle.co2)?;
        Ok(Some(self.set_to(
            regulator,
            co2_kg,
            contents(regulator.bar())?,
        )))
    }

    fn resting(&self, keg: &WaitedKeg, minutes: f64) -> Result<Resting, NoRecipe> {
        let around = surroundings(self.store, self.atmosphere);
        Ok(Resting {
            course: Course::of(self.keg, around, keg.temperature, minutes)?,
            air: self.air_left(self.store.air_c, keg.air)?,
            co2: keg.co2,
        })
    }

    /// What is set, for kegs that take up between these.
    fn set_to(
        &self,
        regulator: GaugePressure,
        co2_kg: f64,
        (least, most): (f64, f64),
    ) -> SetPoints {
        SetPoints {
            regulator,
            hold: self.hold,
            co2_kg,
            spread: (most - least) / self.product.carbonation_g_per_l.grams_per_litre(),
            air: self.air,
        }
    }

    /// A keg in the middle of these.
    fn middle(&self, kegs: &[WaitedKeg]) -> Result<WaitedKeg, NoRecipe> {
        let middle = |of: fn(&WaitedKeg) -> f64| {
            let (least, most) = bounds(kegs.iter().map(of));
            f64::midpoint(least, most)
        };
        Ok(WaitedKeg {
            temperature: Temperature::new(middle(|keg| keg.temperature.celsius()))?,
            air: self.air,
            co2: Carbonation::new(middle(|keg| keg.co2.grams_per_litre()))?,
        })
    }
}

/// A keg that rests under pressure.
struct Resting {
    course: Course,
    /// Pressure of the air in its headspace.
    air: AbsolutePressure,
    /// CO2 it held before.
    co2: Carbonation,
}

impl Resting {
    /// CO2 it holds in the end, in g/L.
    fn content(&self, total: AbsolutePressure, sugar: SugarContent) -> Result<f64, NoRecipe> {
        let content = self.course.content(self.co2, (total, self.air, sugar))?;
        Ok(content.grams_per_litre())
    }
}

/// Purges when a keg of a product is coupled: all of the site's where it stood under air, or where
/// its lid was opened to put something in.
pub(crate) fn purges_at_gassing(scenario: &Scenario, product: &Product) -> u8 {
    let opened = product.syrup.is_some() || !product.ingredients.is_empty();
    match scenario.policy.blanket_bar {
        Some(_) if !opened => 0,
        _ => scenario.policy.purges,
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
