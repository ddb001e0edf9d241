//! Gassings as work items: set points for the kegs they take, as warm as they then are.

use super::kegs::{Airs, Cold, Ready, standing_ready};
use super::pool::{Pool, Taken, sources};
use super::{Context, Start, Writer, of_kind, round};
use crate::mapping::Work;
use crate::plan::{Dose, GasStep, Step};
use crate::recipe::{self, GasRecipe, NoRecipe, SetPoints, WaitedKeg};
use crate::scenario::{KegType, Product};

/// Part of the target by which kegs that are set alike may differ. Kegs that would differ more are
/// items of their own.
const ALIKE: f64 = 0.02;

/// When kegs began to cool towards their store's temperature, and what they were like then.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Filled {
    pub keg: WaitedKeg,
    pub step: usize,
}

/// Kegs as they are when they are coupled, and the pressure that they would be set to by
/// themselves, in bar.
struct Waiting {
    taken: Taken<Filled>,
    then: WaitedKeg,
    bar: f64,
}

/// Writes the gassings.
pub(super) fn write(
    context: Context<'_>,
    starts: &[Start],
    mut cold: Cold,
    writer: &mut Writer,
) -> Ready {
    let mut ready = standing_ready(context);
    let gassings = of_kind(starts, |work| match work {
        Work::Gas { recipe, .. } => Some(*recipe),
        _ => None,
    });
    for (start, recipe) in gassings {
        let gas = &context.recipes.gassings[recipe];
        let length = context.timeline.steps_for(gas.minutes).max(1);
        let ready_at = start.step + length;
        let pool = cold.entry((gas.keg, gas.store)).or_default();
        for (waiting, set) in alike(context, gas, taken(context, gas, start, pool)) {
            let airs = airs(&waiting);
            let kegs: Vec<_> = waiting.into_iter().map(|keg| keg.taken).collect();
            let count = kegs.iter().map(|taken| taken.kegs).sum();
            let step = gas_step(context, gas, &kegs, set, ready_at);
            let hands = f64::from(count) * (gas.attended_minutes + gas.uncouple_minutes);
            let times = (context.stamp(start.step), context.stamp(ready_at));
            let id = writer.add(times, hands, step);
            let pool = ready.entry((gas.product, gas.keg, gas.store)).or_default();
            pool.add(ready_at, Some(id), count, airs);
        }
    }
    ready
}

/// Least and most air in kegs.
fn airs(waiting: &[Waiting]) -> Airs {
    let airs = waiting
        .iter()
        .map(|keg| keg.then.air.milligrams_per_litre());
    let least = airs.clone().fold(f64::INFINITY, f64::min);
    (least, airs.fold(0.0, f64::max))
}

/// Takes kegs, the oldest first; where one of those is too airy for the highest pressure, the newest.
fn taken(
    context: Context<'_>,
    gas: &GasRecipe,
    start: &Start,
    pool: &mut Pool<Filled>,
) -> Vec<Waiting> {
    let mut others = pool.clone();
    let oldest = pool.take(start.step, start.count);
    let oldest = waiting(context, gas, start.step, oldest);
    if oldest.iter().all(|keg| keg.bar < f64::MAX) {
        return oldest;
    }
    let newest = others.take_newest(start.step, start.count);
    let newest = waiting(context, gas, start.step, newest);
    if newest.iter().all(|keg| keg.bar < f64::MAX) {
        *pool = others;
        return newest;
    }
    oldest
}

/// What kegs are like at a step, those that need the least pressure first.
fn waiting(
    context: Context<'_>,
    gas: &GasRecipe,
    step: usize,
    taken: Vec<Taken<Filled>>,
) -> Vec<Waiting> {
    let known = taken.into_iter().map(|taken| {
        let then = at_step(context, gas, taken.known, step);
        // Kegs wait until the physics has them cold enough, so it knows what they are like.
        let then = then.unwrap_or(WaitedKeg {
            temperature: context.scenario.policy.gas_at_c,
            ..taken.known.keg
        });
        let alone = recipe::set_points(context.scenario, gas, &[then]);
        let bar = alone
            .ok()
            .flatten()
            .map_or(f64::MAX, |set| set.regulator.bar());
        Waiting { taken, then, bar }
    });
    let mut waiting: Vec<Waiting> = known.collect();
    waiting.sort_by(|a, b| a.bar.total_cmp(&b.bar));
    waiting
}

/// What kegs are like at a step.
fn at_step(
    context: Context<'_>,
    gas: &GasRecipe,
    filled: Filled,
    step: usize,
) -> Result<WaitedKeg, NoRecipe> {
    let setup = &context.scenario.setup;
    let kind = (&setup.keg_types[gas.keg], &setup.cold_stores[gas.store]);
    let steps = step.saturating_sub(filled.step) as f64;
    let minutes = steps * context.timeline.step_minutes();
    filled.keg.after(context.scenario, kind, minutes)
}

/// Kegs that are set alike, and what is set; those that would differ too much are parted where
/// what they need lies furthest apart.
fn alike(
    context: Context<'_>,
    gas: &GasRecipe,
    mut waiting: Vec<Waiting>,
) -> Vec<(Vec<Waiting>, SetPoints)> {
    if waiting.is_empty() {
        return Vec::new();
    }
    let kegs: Vec<WaitedKeg> = waiting.iter().map(|w| w.then).collect();
    let set = recipe::set_points(context.scenario, gas, &kegs);
    // No keg takes more than the recipe's own, which is for the warmest and airiest.
    let set = set.ok().flatten().unwrap_or(SetPoints {
        regulator: gas.regulator,
        hold: gas.hold,
        co2_kg: gas.co2_kg,
        spread: 0.0,
        air: kegs
            .iter()
            .fold(kegs[0].air, |a, keg| if keg.air > a { keg.air } else { a }),
    });
    let gap = |n: &usize| waiting[*n].bar - waiting[*n - 1].bar;
    let widest = (1..waiting.len()).max_by(|a, b| gap(a).total_cmp(&gap(b)));
    match widest {
        Some(widest) if set.spread > ALIKE => {
            let more = waiting.split_off(widest);
            let mut all = alike(context, gas, waiting);
            all.extend(alike(context, gas, more));
            all
        }
        _ => vec![(waiting, set)],
    }
}

fn gas_step(
    context: Context<'_>,
    gas: &GasRecipe,
    taken: &[Taken<Filled>],
    set: SetPoints,
    ready_at: usize,
) -> Step {
    let (setup, policy) = (&context.scenario.setup, &context.scenario.policy);
    let product = &setup.products[gas.product];
    Step::Gas(GasStep {
        station: setup.gas_stations[gas.station].id.clone(),
        product: product.id.clone(),
        keg_type: setup.keg_types[gas.keg].id.clone(),
        kegs: taken.iter().map(|taken| taken.kegs).sum(),
        store: setup.cold_stores[gas.store].id.clone(),
        from: sources(taken),
        syrup: product.syrup.as_ref().map(|s| s.material.clone()),
        syrup_l_each: round(gas.syrup_litres, 2),
        ingredients: ingredients(product, &setup.keg_types[gas.keg]),
        purges: recipe::purges_at_gassing(context.scenario, product),
        purge_bar: policy.purge_bar.bar(),
        regulator_bar: round(set.regulator.bar(), 2),
        hold_bar: round(set.hold.bar(), 2),
        air_mg_per_l: Some(round(set.air.milligrams_per_litre(), 1)),
        uptake_min: round(gas.uptake_minutes, 1),
        target_g_per_l: product.carbonation_g_per_l.grams_per_litre(),
        co2_g_each: round(set.co2_kg * 1000.0, 1),
        ready_at: context.stamp(ready_at),
    })
}

/// What else goes into each keg of a product.
fn ingredients(product: &Product, keg: &KegType) -> Vec<Dose> {
    let litres = keg.fill_l.litres();
    let each = product.ingredients.iter();
    each.map(|ingredient| Dose {
        material: ingredient.material.clone(),
        amount_each: round(ingredient.per_l.per_litre() * litres, 3),
    })
    .collect()
}
