//! Laying out a plan for being replayed: its items become phases.

use std::collections::BTreeMap;
use std::fmt::Display;

use chrono::{DateTime, FixedOffset};
use model::Temperature;

use super::cooling::{Cooling, StoreAir};
use super::floor::{Floor, Ice, Need, Phase, What, rank};
use super::spreads::Spreads;
use crate::decode::Context;
use crate::mapping::hands_by_step;
use crate::plan::{
    BoilStep, CylinderStep, FillStep, IceStep, Plan, Step, WashStep, WorkId, WorkItem,
};
use crate::recipe::{self, NoRecipe};
use crate::scenario::{GasStationId, KegTypeId, PotId, ProductId, StoreId};

/// A plan that names what its setup does not have cannot be laid out.
fn unknown(noun: &str, id: &impl Display) -> NoRecipe {
    NoRecipe(format!("there is no {noun} \"{id}\" in the setup"))
}

/// Lays out a plan.
pub(super) struct Layout<'a> {
    pub(super) context: Context<'a>,
    pub(super) plan: &'a Plan,
    pub(super) spreads: Spreads,
    pub(super) positions: BTreeMap<&'a WorkId, usize>,
    cooling: Vec<Cooling>,
    known: BTreeMap<(usize, usize, usize), usize>,
}

impl<'a> Layout<'a> {
    pub(super) fn new(context: Context<'a>, plan: &'a Plan, spreads: Spreads) -> Self {
        let items = plan.work.iter().enumerate();
        Self {
            context,
            plan,
            spreads,
            positions: items.map(|(n, item)| (&item.id, n)).collect(),
            cooling: Vec::new(),
            known: BTreeMap::new(),
        }
    }

    /// The floor of the plan.
    pub(super) fn floor(mut self) -> Result<Floor, NoRecipe> {
        let mut phases = Vec::new();
        let mut needs = vec![Need::default(); self.plan.work.len()];
        for (n, item) in self.plan.work.iter().enumerate() {
            self.item(n, item, &mut phases, &mut needs[n])?;
        }
        self.bar_draws(&mut phases);
        self.services(&mut phases)?;
        // At the same minute what comes is there for what is used.
        phases.sort_by(|a, b| {
            a.at.total_cmp(&b.at)
                .then_with(|| rank(&a.what).cmp(&rank(&b.what)))
        });
        let scenario = self.context.scenario;
        let setup = &scenario.setup;
        let loss = scenario.policy.serving_loss.ratio();
        let heat_to = setup.routes.iter().map(|r| r.heat_to_c.celsius());
        Ok(Floor {
            grid: self.context.timeline.step_minutes(),
            hands: hands_by_step(scenario, self.context.timeline),
            ids: self.plan.work.iter().map(|item| item.id.clone()).collect(),
            needs,
            pots: setup.pots.len(),
            stations: setup
                .gas_stations
                .iter()
                .map(|s| usize::from(s.connections))
                .collect(),
            wash_stations: usize::from(setup.wash.stations),
            stores: setup.cold_stores.len(),
            clean: self.clean(),
            ready: self.ready()?,
            on_tap: self.on_tap()?,
            yields: setup
                .keg_types
                .iter()
                .map(|k| k.fill_l.litres() * (1.0 - loss))
                .collect(),
            keeps: setup
                .products
                .iter()
                .map(|p| (p.shelf_days.days() * 1440.0, p.on_tap_h.hours() * 60.0))
                .collect(),
            ice: Ice {
                start_kg: scenario.stock.ice_kg.kilograms(),
                bin_kg: setup
                    .ice
                    .bin_kg
                    .kilograms()
                    .max(scenario.stock.ice_kg.kilograms()),
                per_minute: setup.ice.rate_kg_per_h.kilograms_per_hour() / 60.0,
            },
            lines: scenario
                .demand
                .iter()
                .map(|l| (l.litres.litres(), l.kind))
                .collect(),
            tap_c: scenario.site.water.temperature_c.celsius(),
            heat_to_c: heat_to.fold(0.0, f64::max),
            cooling: self.cooling,
            phases,
        })
    }

    pub(super) fn minute(&self, at: DateTime<FixedOffset>) -> f64 {
        (at.to_utc() - self.context.timeline.start()).num_seconds() as f64 / 60.0
    }

    pub(super) fn keg(&self, id: &KegTypeId) -> Result<usize, NoRecipe> {
        let index = self.context.scenario.index();
        index.keg_type(id).ok_or_else(|| unknown("keg type", id))
    }

    pub(super) fn product(&self, id: &ProductId) -> Result<usize, NoRecipe> {
        let index = self.context.scenario.index();
        index.product(id).ok_or_else(|| unknown("product", id))
    }

    pub(super) fn store(&self, id: &StoreId) -> Result<usize, NoRecipe> {
        let index = self.context.scenario.index();
        index.store(id).ok_or_else(|| unknown("cold store", id))
    }

    pub(super) fn station(&self, id: &GasStationId) -> Result<usize, NoRecipe> {
        let index = self.context.scenario.index();
        index
            .station(id)
            .ok_or_else(|| unknown("gassing point", id))
    }

    fn pot(&self, id: &PotId) -> Result<usize, NoRecipe> {
        let index = self.context.scenario.index();
        index.pot(id).ok_or_else(|| unknown("pot", id))
    }

    /// The pots of boils, by their positions in the plan.
    fn pots_of(&self, boils: &[usize]) -> Result<Vec<usize>, NoRecipe> {
        let steps = boils.iter().map(|n| &self.plan.work[*n].step);
        let boils = steps.filter_map(|step| match step {
            Step::Boil(boil) => Some(&boil.pot),
            _ => None,
        });
        boils.map(|pot| self.pot(pot)).collect()
    }

    fn item(
        &mut self,
        n: usize,
        item: &WorkItem,
        phases: &mut Vec<Phase>,
        need: &mut Need,
    ) -> Result<(), NoRecipe> {
        let at = self.minute(item.start);
        match &item.step {
            Step::Boil(step) => self.boil(n, item, step, phases, need),
            Step::Fill(step) => self.fill(n, item, step, phases, need),
            Step::Gas(step) => self.gas(n, item, step, phases, need),
            Step::Wash(WashStep { keg_type, kegs }) => {
                let each = self.context.scenario.setup.wash.hands_min.minutes();
                *need = Need::of(each, *kegs);
                let what = What::Wash {
                    item: n,
                    keg: self.keg(keg_type)?,
                    kegs: *kegs as usize,
                    minutes: self.minute(item.end) - at,
                };
                phases.push(Phase { at, what });
                Ok(())
            }
            Step::Ice(IceStep { kg, .. }) => {
                let what = What::Deliver { kg: *kg };
                phases.push(Phase { at, what });
                Ok(())
            }
            // Kegs are tapped at services, and the rest follows from them.
            Step::Tap(_) | Step::Stale(_) | Step::Return(_) | Step::Discard(_) => Ok(()),
            Step::Cylinder(CylinderStep { cylinders, .. }) => {
                let setup = self.context.scenario.setup.cylinders.as_ref();
                let each = setup.map_or(0.0, |c| c.change_min.minutes());
                *need = Need::of(each, *cylinders);
                Ok(())
            }
        }
    }

    fn fill(
        &mut self,
        n: usize,
        item: &WorkItem,
        step: &FillStep,
        phases: &mut Vec<Phase>,
        need: &mut Need,
    ) -> Result<(), NoRecipe> {
        let FillStep {
            from,
            keg_type,
            kegs,
            store,
            at_c,
            ..
        } = step;
        let (keg, store) = (self.keg(keg_type)?, self.store(store)?);
        let boils = from.iter().filter_map(|id| self.positions.get(id).copied());
        let boils: Vec<usize> = boils.collect();
        let scenario = self.context.scenario;
        let each = crate::mapping::fill_minutes(scenario, &scenario.setup.keg_types[keg]);
        *need = Need::of(each, *kegs);
        let what = What::Fill {
            item: n,
            pots: self.pots_of(&boils)?,
            boils,
            keg,
            kegs: *kegs as usize,
            cooling: self.cooling_of(keg, store, *at_c)?,
            store,
        };
        let at = self.minute(item.start);
        phases.push(Phase { at, what });
        Ok(())
    }

    fn boil(
        &self,
        n: usize,
        item: &WorkItem,
        step: &BoilStep,
        phases: &mut Vec<Phase>,
        need: &mut Need,
    ) -> Result<(), NoRecipe> {
        let BoilStep {
            pot,
            chill_at,
            fill_from,
            heating_min,
            hold_min,
            ice_in_kg,
            ice_bath_kg,
            ..
        } = step;
        let crew = &self.context.scenario.setup.crew;
        *need = Need {
            all: crew.start_boil_min.minutes(),
            each: crew.start_boil_min.minutes(),
            last_all: crew.chill_min.minutes(),
        };
        let pot = self.pot(pot)?;
        let (chill, fill) = (self.minute(*chill_at), self.minute(*fill_from));
        phases.push(Phase {
            at: self.minute(item.start),
            what: What::Light {
                item: n,
                pot,
                heat: *heating_min,
                hold: *hold_min,
            },
        });
        phases.push(Phase {
            at: chill,
            what: What::Chill {
                item: n,
                pot,
                ice_kg: ice_in_kg + ice_bath_kg,
                bath: fill - chill,
            },
        });
        Ok(())
    }

    fn cooling_of(&mut self, keg: usize, store: usize, at_c: f64) -> Result<usize, NoRecipe> {
        let key = (keg, store, (at_c * 100.0) as usize);
        if let Some(known) = self.known.get(&key) {
            return Ok(*known);
        }
        let setup = &self.context.scenario.setup;
        let cooling = Cooling::of(
            &setup.keg_types[keg],
            StoreAir {
                store: &setup.cold_stores[store],
                atmosphere: recipe::atmosphere(self.context.scenario)?,
                spread_k: self.spreads.store_air_k,
            },
            Temperature::new(at_c)?,
            self.context.scenario.policy.gas_at_c,
        )?;
        self.cooling.push(cooling);
        self.known.insert(key, self.cooling.len() - 1);
        Ok(self.cooling.len() - 1)
    }
}
