//! Gassings as work items: set points for the kegs they take, as warm as they then are.

use model::{Temperature, TimeSpan};

use super::kegs::{Cold, Ready, standing_ready};
use super::pool::{Taken, sources};
use super::{Context, Start, Writer, of_kind, round};
use crate::mapping::Work;
use crate::plan::{Dose, GasStep, Step};
use crate::recipe::{self, GasRecipe, NoRecipe, SetPoints};
use crate::scenario::{KegType, Product};

/// Part of the target by which kegs that are set alike may differ. Kegs that would differ more are
/// items of their own.
const ALIKE: f64 = 0.02;

/// When kegs began to cool towards their store's temperature, and how warm they were then.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Filled {
    pub at: Temperature,
    pub step: usize,
}

/// Kegs with the temperature they have when they are coupled.
type Warm = (Taken<Filled>, Temperature);

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
        let taken = pool.take(start.step, start.count);
        for (kegs, set) in alike(context, gas, warmth(context, gas, start.step, taken)) {
            let count = kegs.iter().map(|taken| taken.kegs).sum();
            let step = gas_step(context, gas, (&kegs, count, set), ready_at);
            let hands = f64::from(count) * (gas.attended_minutes + gas.uncouple_minutes);
            let times = (context.stamp(start.step), context.stamp(ready_at));
            let id = writer.add(times, hands, step);
            let pool = ready.entry((gas.product, gas.keg, gas.store)).or_default();
            pool.add(ready_at, Some(id), count, ());
        }
    }
    ready
}

/// How warm kegs are at a step, the coldest first.
fn warmth(
    context: Context<'_>,
    gas: &GasRecipe,
    step: usize,
    taken: Vec<Taken<Filled>>,
) -> Vec<Warm> {
    let known = taken.into_iter().map(|taken| {
        let at = temperature(context, gas, taken.known, step);
        // Kegs wait until the physics has them cold enough, so it knows how cold they are.
        let at = at.unwrap_or(context.scenario.policy.gas_at_c);
        (taken, at)
    });
    let mut warm: Vec<Warm> = known.collect();
    warm.sort_by(|(_, a), (_, b)| a.celsius().total_cmp(&b.celsius()));
    warm
}

/// How warm kegs are at a step.
fn temperature(
    context: Context<'_>,
    gas: &GasRecipe,
    filled: Filled,
    step: usize,
) -> Result<Temperature, NoRecipe> {
    let setup = &context.scenario.setup;
    let container = recipe::container(&setup.keg_types[gas.keg])?;
    let store = &setup.cold_stores[gas.store];
    let around = recipe::surroundings(store, recipe::atmosphere(context.scenario)?);
    let steps = step.saturating_sub(filled.step) as f64;
    let time = TimeSpan::from_minutes(steps * context.timeline.step_minutes())?;
    Ok(model::cooling::after(&container, around, filled.at, time)?.temperature)
}

/// Kegs that are set alike, and what is set; those that would differ too much are parted where
/// their temperatures lie furthest apart.
fn alike(
    context: Context<'_>,
    gas: &GasRecipe,
    mut warm: Vec<Warm>,
) -> Vec<(Vec<Taken<Filled>>, SetPoints)> {
    let Some(((_, coldest), (_, warmest))) = warm.first().zip(warm.last()) else {
        return Vec::new();
    };
    let set = recipe::set_points(context.scenario, context.recipes, gas, (*coldest, *warmest));
    // Colder kegs take no more than the recipe's own, which is for the warmest.
    let set = set.ok().flatten().unwrap_or(SetPoints {
        regulator: gas.regulator,
        co2_kg: gas.co2_kg,
        spread: 0.0,
    });
    let gap = |n: &usize| warm[*n].1.celsius() - warm[*n - 1].1.celsius();
    let widest = (1..warm.len()).max_by(|a, b| gap(a).total_cmp(&gap(b)));
    match widest {
        Some(widest) if set.spread > ALIKE => {
            let warmer = warm.split_off(widest);
            let mut all = alike(context, gas, warm);
            all.extend(alike(context, gas, warmer));
            all
        }
        _ => vec![(warm.into_iter().map(|(taken, _)| taken).collect(), set)],
    }
}

fn gas_step(
    context: Context<'_>,
    gas: &GasRecipe,
    (taken, kegs, set): (&[Taken<Filled>], u32, SetPoints),
    ready_at: usize,
) -> Step {
    let (setup, policy) = (&context.scenario.setup, &context.scenario.policy);
    let product = &setup.products[gas.product];
    Step::Gas(GasStep {
        station: setup.gas_stations[gas.station].id.clone(),
        product: product.id.clone(),
        keg_type: setup.keg_types[gas.keg].id.clone(),
        kegs,
        store: setup.cold_stores[gas.store].id.clone(),
        from: sources(taken),
        syrup: product.syrup.as_ref().map(|s| s.material.clone()),
        syrup_l_each: round(gas.syrup_litres, 2),
        ingredients: ingredients(product, &setup.keg_types[gas.keg]),
        purges: policy.purges,
        purge_bar: policy.purge_bar.bar(),
        regulator_bar: round(set.regulator.bar(), 2),
        hold_bar: round(gas.hold.bar(), 2),
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
