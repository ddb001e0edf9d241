//! Gassings laid out: connections, hands, and how long a keg takes up enough CO2.

use model::kinetics::{self, StillKeg};
use model::{Area, Carbonation, Temperature, Volume};

use super::floor::{Need, Phase, What};
use super::layout::Layout;
use crate::plan::{GasStep, Source, WorkItem};
use crate::recipe::{self, NoRecipe};
use crate::scenario::{GasMethod, GasStation, KegType, Product};

impl Layout<'_> {
    pub(super) fn gas(
        &self,
        n: usize,
        item: &WorkItem,
        step: &GasStep,
        phases: &mut Vec<Phase>,
        need: &mut Need,
    ) -> Result<(), NoRecipe> {
        let GasStep {
            station,
            product,
            keg_type,
            kegs,
            store,
            from,
            uptake_min,
            ready_at,
            ..
        } = step;
        let setup = &self.context.scenario.setup;
        let at = self.station(station)?;
        let station = &setup.gas_stations[at];
        let (product, keg) = (self.product(product)?, self.keg(keg_type)?);
        let shaken = matches!(station.method, GasMethod::Shaken { .. });
        let couple = station.couple_min.minutes();
        let each = couple + if shaken { *uptake_min } else { 0.0 };
        let count = f64::from(*kegs);
        *need = Need {
            all: each * count,
            each,
            last_all: station.uncouple_min.minutes() * count,
        };
        let from = from.iter().map(|Source { item, kegs }| {
            let made = item.as_ref().and_then(|id| self.positions.get(id).copied());
            (made, *kegs as usize)
        });
        // A rest is long against the hours in which a keg comes to its store's temperature.
        let cold = setup.cold_stores[self.store(store)?].air_c;
        let made = (&setup.products[product], &setup.keg_types[keg]);
        let uptake = uptake_min * self.enough(station, made, cold, step)?;
        phases.push(Phase {
            at: self.minute(item.start),
            what: What::Gas {
                item: n,
                from: from.collect(),
                station: at,
                kegs: *kegs as usize,
                ready: self.minute(*ready_at),
                couple,
                uptake,
                shaken,
                product,
                keg,
            },
        });
        Ok(())
    }

    /// Part of the uptake's time after which a keg has enough CO2 to be served.
    fn enough(
        &self,
        station: &GasStation,
        (product, keg): (&Product, &KegType),
        cold: Temperature,
        step: &GasStep,
    ) -> Result<f64, NoRecipe> {
        let target = product.carbonation_g_per_l;
        let part = Carbonation::new(target.grams_per_litre() * self.spreads.enough_co2)?;
        let none = Carbonation::new(0.0)?;
        match &station.method {
            GasMethod::Shaken { kla_per_s } => {
                let whole = Carbonation::new(target.grams_per_litre() * 0.97)?;
                if part >= whole {
                    return Ok(1.0);
                }
                let time = |to| kinetics::time(*kla_per_s, none, to, target);
                Ok(time(part)?.minutes() / time(whole)?.minutes())
            }
            GasMethod::Rest { .. } => {
                let GasStep { regulator_bar, .. } = step;
                let scenario = self.context.scenario;
                let width = keg.diameter_m.metres();
                let still = StillKeg {
                    liquid: Volume::new(keg.fill_l.litres())?,
                    surface: Area::new(std::f64::consts::PI / 4.0 * width * width)?,
                    temperature: cold,
                };
                let total = model::GaugePressure::new(*regulator_bar)?
                    .absolute(recipe::atmosphere(scenario)?)?;
                let no_air = model::AbsolutePressure::new(0.0)?;
                let reached =
                    model::carbonation::dissolved(cold, total, no_air, product.sugar_brix)?;
                if reached <= target {
                    return Ok(1.0);
                }
                let time = |to| still.time(none, to, reached);
                Ok(time(part)?.minutes() / time(target)?.minutes())
            }
        }
    }
}
