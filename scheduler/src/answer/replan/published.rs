//! Published work that is still to come, as starts of the new network's tasks.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::execution_state::Past;
use super::initial_state::later;
use crate::answer::problem::Problem;
use crate::decode::Context;
use crate::mapping::{SodaNetwork, Work};
use crate::network::TaskId;
use crate::plan::{
    BoilStep, CylinderStep, DiscardStep, FillStep, GasStep, IceStep, ReturnStep, Step, TapStep,
    WashStep, WorkItem,
};
use crate::recipe::GasRecipe;
use crate::scenario::{KegTypeId, ProductId, StoreId};

/// Published starts of one task at one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::answer) struct PublishedStart {
    pub work: Work,
    pub count: u32,
    /// Litres of a boil, kilograms of ice.
    pub size: Option<f64>,
}

/// Published starts, by task and step.
pub(in crate::answer) type Published = BTreeMap<(TaskId, usize), PublishedStart>;

/// Published work that is still to come, moved by what is known to be late.
pub(super) fn items(past: &Past<'_>) -> Vec<WorkItem> {
    past.ahead()
        .map(|(item, late)| {
            let mut item = item.clone();
            later(&mut item, late);
            item
        })
        .collect()
}

/// The starts of the new network that are the same work. Work whose task the new network does not
/// have at that step is left out: it cannot stay.
pub(in crate::answer) fn starts(problem: Problem<'_>, items: &[WorkItem]) -> Published {
    let Problem {
        context,
        soda,
        form,
    } = problem;
    let mut published = Published::new();
    for item in items {
        let Some(step) = at(context, item.start) else {
            continue;
        };
        let Some((task, start)) = starts_of(context, soda, item) else {
            continue;
        };
        if form.starts(task, step).is_none() {
            continue;
        }
        let kept = published.entry((task, step)).or_insert(PublishedStart {
            count: 0,
            size: start.size.map(|_| 0.0),
            ..start
        });
        kept.count += start.count;
        kept.size = kept.size.zip(start.size).map(|(a, b)| a + b);
    }
    published
}

/// The task an item is, and how often and how large.
pub(super) fn starts_of(
    context: Context<'_>,
    soda: &SodaNetwork,
    item: &WorkItem,
) -> Option<(TaskId, PublishedStart)> {
    let (work, count, size) = meaning(context, item)?;
    let mut tasks = soda.net.tasks().zip(&soda.work);
    let ((task, _), _) = tasks.find(|(_, means)| **means == work)?;
    Some((task, PublishedStart { work, count, size }))
}

fn at(context: Context<'_>, when: DateTime<FixedOffset>) -> Option<usize> {
    context.timeline.step_of(when.to_utc())
}

fn steps(context: Context<'_>, from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> usize {
    context.timeline.steps_for((to - from).num_minutes() as f64)
}

/// What an item is to the network, how often, and its size.
fn meaning(context: Context<'_>, item: &WorkItem) -> Option<(Work, u32, Option<f64>)> {
    let count = match &item.step {
        Step::Fill(FillStep { kegs, keg_type, .. }) => {
            // A crate is filled at a time.
            let mut types = context.scenario.setup.keg_types.iter();
            let keg = types.find(|k| k.id == *keg_type);
            kegs / keg.map_or(1, |k| u32::from(k.filled_together()))
        }
        Step::Cylinder(CylinderStep { cylinders, .. }) => *cylinders,
        Step::Gas(GasStep { kegs, .. })
        | Step::Tap(TapStep { kegs, .. })
        | Step::Return(ReturnStep { kegs, .. })
        | Step::Discard(DiscardStep { kegs, .. })
        | Step::Wash(WashStep { kegs, .. }) => *kegs,
        Step::Boil(_) | Step::Ice(_) | Step::Stale(_) => 1,
    };
    let size = match &item.step {
        Step::Boil(BoilStep { makes_l, .. }) => Some(*makes_l),
        Step::Ice(IceStep { kg, .. }) => Some(*kg),
        _ => None,
    };
    Some((work(context, item)?, count, size))
}

/// What an item is to the network; none for what follows from what is served.
fn work(context: Context<'_>, item: &WorkItem) -> Option<Work> {
    let product = |id: &ProductId| context.scenario.index().product(id);
    let keg = |id: &KegTypeId| context.scenario.index().keg_type(id);
    let store = |id: &StoreId| context.scenario.index().store(id);
    Some(match &item.step {
        Step::Boil(step) => boil(context, item, step)?,
        Step::Gas(step) => gas(context, step)?,
        Step::Fill(FillStep {
            route,
            keg_type,
            store: at,
            ..
        }) => Work::Fill {
            route: context.scenario.index().route(route)?,
            keg: keg(keg_type)?,
            store: store(at)?,
        },
        Step::Tap(TapStep {
            product: id,
            keg_type,
            store: at,
            ..
        }) => Work::Tap {
            product: product(id)?,
            keg: keg(keg_type)?,
            store: store(at)?,
        },
        Step::Return(ReturnStep {
            product: id,
            keg_type,
            ..
        }) => Work::Return {
            product: product(id)?,
            keg: keg(keg_type)?,
        },
        Step::Discard(DiscardStep {
            product: id,
            keg_type,
            store: at,
            ..
        }) => Work::Discard {
            product: product(id)?,
            keg: keg(keg_type)?,
            store: store(at)?,
        },
        Step::Wash(WashStep { keg_type, .. }) => Work::Wash {
            keg: keg(keg_type)?,
        },
        Step::Ice(_) => Work::BuyIce,
        Step::Cylinder(_) => Work::ChangeCylinder,
        Step::Stale(_) => return None,
    })
}

fn boil(context: Context<'_>, item: &WorkItem, step: &BoilStep) -> Option<Work> {
    let BoilStep {
        route,
        pot,
        chill_at,
        ..
    } = step;
    let route = context.scenario.index().route(route)?;
    let pot = context.scenario.index().pot(pot)?;
    let mut boils = context.recipes.boils.iter();
    Some(Work::Boil {
        recipe: boils.position(|b| (b.route, b.pot) == (route, pot))?,
        heater: steps(context, item.start, *chill_at),
    })
}

/// The way of gassing whose time is the item's.
fn gas(context: Context<'_>, step: &GasStep) -> Option<Work> {
    let GasStep {
        station,
        product,
        keg_type,
        store,
        uptake_min,
        ..
    } = step;
    let setup = &context.scenario.setup;
    let same = |gas: &GasRecipe| {
        setup.gas_stations[gas.station].id == *station
            && setup.products[gas.product].id == *product
            && setup.keg_types[gas.keg].id == *keg_type
            && setup.cold_stores[gas.store].id == *store
            // Plans made before say tenths of a minute.
            && (gas.uptake_minutes - uptake_min).abs() < 1.0
    };
    let mut gassings = context.recipes.gassings.iter();
    Some(Work::Gas {
        recipe: gassings.position(same)?,
        store: context.scenario.index().store(store)?,
    })
}
