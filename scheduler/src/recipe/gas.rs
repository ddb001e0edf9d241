//! Gassing: pressure, time and CO2 for a product in a keg on a station.

use model::kinetics;
use model::{AirContent, Carbonation, GaugePressure, MassTransfer};

use super::bench::Bench;
use super::waiting::WaitedKeg;
use super::{NoRecipe, gassing_temperature, goes_into};
use crate::scenario::{ColdStore, GasMethod, GasStation, Scenario};

/// Part of a keg's stamped rating that gassing may use.
pub(crate) const RATING_SHARE: f64 = 0.8;

/// A shaken keg counts as done at this part of its target; the rest follows while it stands at
/// its pressure.
const SHAKEN_DONE: f64 = 0.97;

/// One way of gassing one product in one keg type that stands in one store.
///
/// Its pressure and its CO2 are those of the warmest and airiest keg that may be gassed; a colder
/// one, or one that waited less, takes less of both, see [`set_points`](super::set_points).
#[derive(Debug, Clone, PartialEq)]
pub struct GasRecipe {
    /// Position of the station.
    pub station: usize,
    /// Position of the product.
    pub product: usize,
    /// Position of the keg type.
    pub keg: usize,
    /// Position of the store it stands in.
    pub store: usize,
    /// Minutes it is coupled, coupling included.
    pub minutes: f64,
    /// Minutes it takes up CO2.
    pub uptake_minutes: f64,
    /// Pressure of the regulator meanwhile.
    pub regulator: GaugePressure,
    /// Pressure that holds it at its target afterwards, at its store's temperature.
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
    /// Position of the store it comes from.
    pub store: usize,
    /// Pressure that holds it at its target on tap: at its store's temperature, or at the tap's
    /// where that is warmer.
    pub serve: GaugePressure,
    /// Whether the keg takes that pressure.
    pub takes_it: bool,
    /// CO2 that pushes the drink out; none where it is not known for such a pressure.
    pub push_kg: Option<f64>,
}

/// Every station, product, keg type, store and time that works, and how each keg is served, for
/// water with this much air in it.
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
            let mut benches = Vec::new();
            for (s, store) in setup.cold_stores.iter().enumerate() {
                let fresh = WaitedKeg::filled(store.air_c, air);
                let waited = fresh.long_after(scenario, (keg, store))?;
                match Bench::of(scenario, (product, keg, store), waited.air) {
                    Ok(bench) => {
                        serving.push(bench.served((p, k, s))?);
                        benches.push((s, bench));
                    }
                    // In a warm store a drink may need more than the physics is known for; nothing
                    // is gassed there.
                    Err(_) if store.air_c >= gassing_temperature(scenario) => {}
                    Err(error) => return Err(error),
                }
            }
            for (n, station) in setup.gas_stations.iter().enumerate() {
                let allowed =
                    product.gas_stations.is_empty() || product.gas_stations.contains(&station.id);
                if allowed && station.keg_types.contains(&keg.id) {
                    recipes.extend(on(scenario, station, ((n, p, k), air), &benches)?);
                }
            }
        }
    }
    Ok((recipes, serving))
}

/// Ways of gassing a keg on a station; none where its pressure would be too high.
fn on(
    scenario: &Scenario,
    station: &GasStation,
    ((n, p, k), air): ((usize, usize, usize), AirContent),
    benches: &[(usize, Bench<'_>)],
) -> Result<Vec<GasRecipe>, NoRecipe> {
    let warmest = gassing_temperature(scenario);
    let reached = |store: &ColdStore| station.stores.contains(&store.id) && store.air_c < warmest;
    let rests: Vec<Option<f64>> = match &station.method {
        GasMethod::Shaken { .. } => vec![None],
        GasMethod::Rest { hours, .. } => hours.iter().map(|h| Some(h.hours() * 60.0)).collect(),
    };
    let mut recipes = Vec::new();
    for rest in rests {
        for (s, bench) in benches.iter().filter(|(_, bench)| reached(bench.store)) {
            let way = Way {
                station,
                rest,
                at: (n, p, k),
            };
            // Just cold enough, and as cold and airy as it gets while it waits.
            let fresh = WaitedKeg::filled(warmest, air);
            let waited = WaitedKeg::filled(bench.store.air_c, air);
            let waited = waited.long_after(scenario, bench.kind())?;
            recipes.extend(way.recipe(bench, [fresh, waited], *s)?);
        }
    }
    Ok(recipes)
}

/// One way of gassing: a station, and the minutes of a rest.
struct Way<'a> {
    station: &'a GasStation,
    rest: Option<f64>,
    /// Positions of the station, the product and the keg type.
    at: (usize, usize, usize),
}

impl Way<'_> {
    /// The recipe for kegs that may be like either of two; none where one takes too high a pressure.
    fn recipe(
        &self,
        bench: &Bench<'_>,
        kegs: [WaitedKeg; 2],
        store: usize,
    ) -> Result<Option<GasRecipe>, NoRecipe> {
        let (station, product, keg) = self.at;
        let couple = self.station.couple_min.minutes();
        let uptake_minutes = match (&self.station.method, self.rest) {
            (GasMethod::Shaken { kla_per_s }, _) => shaken_minutes(bench, *kla_per_s)?,
            (GasMethod::Rest { .. }, minutes) => minutes.unwrap_or(0.0),
        };
        let attended_minutes = match self.station.method {
            GasMethod::Shaken { .. } => couple + uptake_minutes,
            GasMethod::Rest { .. } => couple,
        };
        let set = |keg: WaitedKeg| bench.set(&self.station.method, uptake_minutes, &[keg]);
        let [Some(one), Some(other)] = [set(kegs[0])?, set(kegs[1])?] else {
            return Ok(None);
        };
        let regulator = if one.regulator > other.regulator {
            one.regulator
        } else {
            other.regulator
        };
        Ok(Some(GasRecipe {
            station,
            product,
            keg,
            store,
            minutes: attended_minutes.max(couple + uptake_minutes),
            uptake_minutes,
            regulator,
            hold: bench.hold,
            // No keg takes more than one that is purged at its store's temperature.
            co2_kg: bench.co2_kg(
                regulator,
                (bench.store.air_c, bench.store.air_c),
                Carbonation::NONE,
            )?,
            attended_minutes,
            uncouple_minutes: self.station.uncouple_min.minutes(),
            syrup_litres: bench.syrup_litres(),
        }))
    }
}

/// Whole minutes of shaking to nearly the whole target.
fn shaken_minutes(bench: &Bench<'_>, kla: MassTransfer) -> Result<f64, NoRecipe> {
    let target = bench.product.carbonation_g_per_l;
    let done = Carbonation::new(target.grams_per_litre() * SHAKEN_DONE)?;
    let time = kinetics::time(kla, Carbonation::NONE, done, target)?;
    // A time that is whole but for the last digits is not made a minute longer.
    Ok((time.minutes() - 1e-6).ceil())
}
