//! What is on hand and under way when the new plan starts, as it follows from the published plan
//! and what has happened since.

use chrono::Duration;

use super::execution_state::{Fate, Past, ready_at};
use super::facts::Facts;
use super::kegs::Kegs;
use super::{ice_stock, tap_stock, work_in_progress};
use crate::decode::Context;
use crate::plan::{
    BoilStep, CylinderStep, FillStep, GasStep, IceStep, Plan, ReturnStep, Step, WashStep, WorkItem,
};
use crate::scenario::quantities::{BatchVolume, MaterialAmount, StepMinutes, StockMass};
use crate::scenario::{
    CO2, Delivery, GasMethod, GassingKegs, IceComing, MaterialId, MaterialStock, ReadyKegs,
    Scenario, Stock, UnderWay, WashingKegs,
};

/// The scenario of the new plan: the rest of the horizon, with what is on hand and under way.
pub(super) fn scenario(context: Context<'_>, past: &Past<'_>, facts: &Facts) -> Scenario {
    let old = context.scenario;
    let mut scenario: Scenario = old.clone().into_inner();
    scenario.horizon.start = past.from;
    scenario.horizon.until = Some(context.timeline.stamp(context.timeline.end()));
    scenario.demand.retain(|line| line.due >= past.from);
    scenario.stock = stock(context, past, facts);
    measured(&mut scenario.stock, facts);
    scenario
}

fn stock(context: Context<'_>, past: &Past<'_>, facts: &Facts) -> Stock {
    let mut kegs = Kegs::of(context, past.from);
    let mut used = Used {
        under_way: work_in_progress::of(context, past, facts),
        ..Used::default()
    };
    for item in &past.plan.work {
        if let Some(fate) = past.fate(&item.id) {
            let deed = Deed {
                context,
                past,
                facts,
            };
            deed.apply(item, fate, &mut kegs, &mut used);
        }
    }
    let happened = as_happened(past);
    let (on_tap, at_bar) = tap_stock::at(context, &happened, past.from);
    used.under_way.at_bar = at_bar;
    let old = &context.scenario.stock;
    let (arrived, deliveries): (Vec<Delivery>, Vec<Delivery>) = old
        .deliveries
        .iter()
        .cloned()
        .partition(|delivery| delivery.at <= past.from);
    let arrived_of = |id: &str| -> f64 {
        let of_it = arrived.iter().filter(|d| d.material.as_str() == id);
        of_it.map(|d| d.amount.units()).sum()
    };
    let co2 = old.co2_kg.kilograms() + arrived_of(CO2) - used.co2_kg;
    let mut materials = old.materials.clone();
    for delivery in &arrived {
        let known = materials.iter().any(|m| m.material == delivery.material);
        if !known && delivery.material.as_str() != CO2 {
            materials.push(MaterialStock {
                material: delivery.material.clone(),
                amount: MaterialAmount::of(0.0),
            });
        }
    }
    let (empty, filled, ready) = kegs.standing();
    Stock {
        empty,
        filled,
        ready,
        on_tap,
        ice_kg: mass(ice_stock::level(context, past, facts, &happened)),
        co2_kg: mass(co2),
        deliveries,
        materials: materials
            .into_iter()
            .map(|mut material| {
                let there = material.amount.units() + arrived_of(material.material.as_str());
                let left = there - used.of(&material.material);
                material.amount = MaterialAmount::new(left.max(0.0)).unwrap_or(material.amount);
                material
            })
            .collect(),
        under_way: used.under_way,
    }
}

/// The part of the published plan that has come about, at the times at which it did.
fn as_happened(past: &Past<'_>) -> Plan {
    let mut plan = past.plan.clone();
    plan.work.retain_mut(|item| match past.fate(&item.id) {
        Some(Fate::Begun(late) | Fate::Ahead(late)) => {
            later(item, *late);
            true
        }
        Some(Fate::Over(_)) => true,
        // Kegs that were tapped and found bad never poured.
        Some(Fate::Failed(_)) => matches!(item.step, Step::Boil(_) | Step::Fill(_)),
        Some(Fate::Gone) | None => false,
    });
    plan
}

/// Moves an item, with all its times.
pub(super) fn later(item: &mut WorkItem, late: Duration) {
    item.start += late;
    item.end += late;
    match &mut item.step {
        Step::Boil(BoilStep {
            chill_at,
            fill_from,
            ..
        }) => {
            *chill_at += late;
            *fill_from += late;
        }
        Step::Fill(FillStep { cold_at, .. }) => *cold_at += late,
        Step::Gas(GasStep { ready_at, .. }) => *ready_at += late,
        _ => {}
    }
}

/// What has been used up, and what goes on.
#[derive(Default)]
pub(super) struct Used {
    co2_kg: f64,
    materials: Vec<(String, f64)>,
    pub(super) under_way: UnderWay,
}

impl Used {
    pub(super) fn material(&mut self, name: &str, amount: f64) {
        self.materials.push((name.to_owned(), amount));
    }

    fn of(&self, material: &MaterialId) -> f64 {
        let uses = self.materials.iter();
        uses.filter(|(name, _)| name == material.as_str())
            .map(|(_, amount)| amount)
            .sum()
    }
}

/// What one work item has done to the stock.
pub(super) struct Deed<'a> {
    pub(super) context: Context<'a>,
    pub(super) past: &'a Past<'a>,
    pub(super) facts: &'a Facts,
}

impl Deed<'_> {
    fn apply(&self, item: &WorkItem, fate: &Fate, kegs: &mut Kegs<'_>, used: &mut Used) {
        let mut done = item.clone();
        match fate {
            Fate::Begun(late) => later(&mut done, *late),
            Fate::Ahead(late) => {
                if let Step::Ice(_) = item.step {
                    later(&mut done, *late);
                    self.ordered(&done, used);
                }
                return;
            }
            Fate::Gone => return,
            Fate::Over(_) | Fate::Failed(_) => {}
        }
        match &done.step {
            Step::Boil(step) => self.boil(&done, step, fate, used),
            Step::Fill(step) => {
                used.co2_kg += step.co2_kg();
                self.fill(&done, step, fate, kegs);
            }
            Step::Gas(step) => self.gas(&done, step, fate, kegs, used),
            Step::Wash(step) => self.wash(&done, step, fate, kegs, used),
            Step::Tap(step) => {
                used.co2_kg += self.context.push_kg(step);
                kegs.tapped(&done, matches!(fate, Fate::Failed(_)));
            }
            Step::Return(ReturnStep {
                keg_type, kegs: n, ..
            }) => {
                if !matches!(fate, Fate::Failed(_)) {
                    kegs.back(keg_type, *n);
                }
            }
            Step::Discard(_) => kegs.tapped(&done, true),
            Step::Cylinder(CylinderStep { cylinders, .. }) => {
                used.co2_kg += self.residual_kg(*cylinders)
            }
            Step::Ice(_) | Step::Stale(_) => {}
        }
    }

    /// Ice that was ordered before now is on its way.
    fn ordered(&self, item: &WorkItem, used: &mut Used) {
        if let Step::Ice(IceStep { kg, order_by }) = item.step
            && order_by <= self.facts.now
        {
            used.under_way.ice_coming.push(IceComing {
                kg: mass(kg),
                at: item.start,
            });
        }
    }

    fn fill(&self, item: &WorkItem, step: &FillStep, fate: &Fate, kegs: &mut Kegs<'_>) {
        let full = match fate {
            Fate::Over(at) => *at,
            _ => item.start + Duration::minutes(self.grid()),
        };
        kegs.filled(&item.id, step, full, matches!(fate, Fate::Failed(_)));
    }

    fn gas(
        &self,
        item: &WorkItem,
        step: &GasStep,
        fate: &Fate,
        kegs: &mut Kegs<'_>,
        used: &mut Used,
    ) {
        let GasStep {
            station,
            product,
            keg_type,
            kegs: count,
            store,
            syrup,
            syrup_l_each,
            ingredients,
            co2_g_each,
            ..
        } = step;
        let number = f64::from(*count);
        used.co2_kg += number * co2_g_each / 1000.0;
        if let Some(syrup) = syrup {
            used.material(syrup.as_str(), number * syrup_l_each);
        }
        for dose in ingredients {
            used.material(dose.material.as_str(), number * dose.amount_each);
        }
        kegs.taken_to_gas(step);
        let ready = match fate {
            Fate::Failed(_) => return kegs.back(keg_type, *count),
            Fate::Over(at) => *at,
            _ => ready_at(item),
        };
        if ready < self.past.from || matches!(fate, Fate::Over(_)) {
            let made = ReadyKegs {
                product: product.clone(),
                keg_type: keg_type.clone(),
                store: store.clone(),
                kegs: small(*count),
                gassed_at: ready.min(self.past.from),
            };
            kegs.ready(&item.id, made);
            return;
        }
        let attended = self.attended(step);
        used.under_way.gassing.push(GassingKegs {
            station: station.clone(),
            product: product.clone(),
            keg_type: keg_type.clone(),
            store: store.clone(),
            kegs: small(*count),
            hands_min: self.hands_left(item, attended),
            ready_at: ready,
        });
    }

    /// Minutes of hands each keg of a gassing needs before it is left alone.
    fn attended(&self, step: &GasStep) -> StepMinutes {
        let GasStep {
            station,
            uptake_min,
            ..
        } = step;
        let stations = &self.context.scenario.setup.gas_stations;
        let Some(station) = stations.iter().find(|s| s.id == *station) else {
            return StepMinutes::of(0.0);
        };
        let shaking = match station.method {
            GasMethod::Shaken { .. } => *uptake_min,
            GasMethod::Rest { .. } => 0.0,
        };
        let minutes = station.couple_min.minutes() + shaking;
        StepMinutes::new(minutes).unwrap_or(station.couple_min)
    }

    fn wash(
        &self,
        item: &WorkItem,
        step: &WashStep,
        fate: &Fate,
        kegs: &mut Kegs<'_>,
        used: &mut Used,
    ) {
        let WashStep {
            keg_type,
            kegs: count,
        } = step;
        match fate {
            Fate::Failed(_) => {}
            Fate::Begun(_) if item.end > self.past.from => {
                kegs.put_in_the_wash(keg_type, *count);
                used.under_way.washing.push(WashingKegs {
                    keg_type: keg_type.clone(),
                    kegs: small(*count),
                    hands_min: self.hands_left(item, self.context.scenario.setup.wash.hands_min),
                    until: item.end,
                });
            }
            _ => {
                kegs.put_in_the_wash(keg_type, *count);
                kegs.clean(keg_type, *count);
            }
        }
    }

    /// What is left of the hands an item needs at its start, from the new plan's start on.
    pub(super) fn hands_left(&self, item: &WorkItem, needs: StepMinutes) -> StepMinutes {
        let gone = (self.past.from - item.start).num_minutes() as f64;
        StepMinutes::new((needs.minutes() - gone).max(0.0)).unwrap_or(needs)
    }

    /// What stays in cylinders that are taken off.
    fn residual_kg(&self, cylinders: u32) -> f64 {
        let setup = self.context.scenario.setup.cylinders.as_ref();
        setup.map_or(0.0, |c| c.residual_kg.kilograms() * f64::from(cylinders))
    }

    fn grid(&self) -> i64 {
        i64::from(self.context.scenario.horizon.grid_minutes.minutes())
    }
}

/// Puts what was measured in place of what follows from the events.
/// The ice is followed from its measurement elsewhere.
fn measured(stock: &mut Stock, facts: &Facts) {
    let measured = &facts.measured;
    stock.co2_kg = measured.co2_kg.unwrap_or(stock.co2_kg);
    for counted in &measured.empty {
        stock.empty.retain(|e| e.keg_type != counted.keg_type);
        stock.empty.push(counted.clone());
    }
    for counted in &measured.materials {
        stock.materials.retain(|m| m.material != counted.material);
        stock.materials.push(counted.clone());
    }
    if let Some(filled) = &measured.filled {
        stock.filled.clone_from(filled);
    }
    if let Some(ready) = &measured.ready {
        stock.ready.clone_from(ready);
    }
    if let Some(on_tap) = &measured.on_tap {
        stock.on_tap.clone_from(on_tap);
    }
}

pub(super) fn mass(kilograms: f64) -> StockMass {
    // Levels are a sum of rounded amounts; a hair below nothing is nothing.
    StockMass::new(kilograms.max(0.0)).unwrap_or(StockMass::of(0.0))
}

pub(super) fn batch(litres: Option<f64>) -> BatchVolume {
    BatchVolume::new(litres.unwrap_or(0.0).max(0.0)).unwrap_or(BatchVolume::of(0.0))
}

pub(super) fn small(count: u32) -> u16 {
    u16::try_from(count).unwrap_or(u16::MAX)
}
