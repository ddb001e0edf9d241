//! Fills and tappings as work items, each with its history.

use std::collections::BTreeMap;

use model::{AirContent, Temperature};

use super::boils::{self, Water};
use super::gassings::Filled;
use super::pool::{Pool, Taken, sources};
use super::{Context, Start, Writer, of_kind, round};
use crate::mapping::Work;
use crate::plan::{Blanket, DiscardStep, FillStep, Step, TapStep};
use crate::recipe::{self, NoRecipe, WaitedKeg};

/// Cold kegs that wait to be gassed, by keg type and store.
pub(super) type Cold = BTreeMap<(usize, usize), Pool<Filled>>;

/// Least and most air in kegs, in mg/L.
pub(super) type Airs = (f64, f64);

/// Kegs ready for service with the air in them, by product, keg type and store.
pub(super) type Ready = BTreeMap<(usize, usize, usize), Pool<Airs>>;

/// Writes the fills.
pub(super) fn fills(
    context: Context<'_>,
    starts: &[Start],
    mut waters: Vec<Water>,
    writer: &mut Writer,
) -> Cold {
    let setup = &context.scenario.setup;
    let mut cold = standing_cold(context);
    let fills = of_kind(starts, |work| match work {
        Work::Fill { route, keg, store } => Some((*route, *keg, *store)),
        _ => None,
    });
    for (start, (route, keg, store)) in fills {
        let keg_type = &setup.keg_types[keg];
        let kegs = start.count * u32::from(keg_type.filled_together());
        let litres = f64::from(kegs) * keg_type.fill_l.litres();
        let drawn = boils::take(&mut waters, route, start.step, litres);
        let water = &context.recipes.water[route];
        let air = drawn.air.and_then(|air| AirContent::new(air).ok());
        let air = in_keg(context, water.at, air.unwrap_or(water.air));
        let cooling = context.recipes.cools[keg][store][route].as_ref();
        let minutes = cooling.map_or(0.0, |c| c.minutes);
        let cold_at = start.step + 1 + context.timeline.steps_for(minutes);
        let step = Step::Fill(FillStep {
            route: setup.routes[route].id.clone(),
            from: drawn.boils,
            keg_type: keg_type.id.clone(),
            kegs,
            store: setup.cold_stores[store].id.clone(),
            litres_each: keg_type.fill_l.litres(),
            at_c: context.recipes.water[route].at.celsius(),
            air_mg_per_l: Some(round(air.milligrams_per_litre(), 1)),
            blanket: blanket(context, (keg, store)),
            cold_at: context.stamp(cold_at),
        });
        let hands = f64::from(kegs) * crate::mapping::fill_minutes(context.scenario, keg_type);
        let times = (context.stamp(start.step), context.stamp(start.step + 1));
        let id = writer.add(times, hands, step);
        let pool = cold.entry((keg, store)).or_default();
        let filled = Filled {
            keg: WaitedKeg::filled(water.at, air),
            step: start.step + 1,
        };
        pool.add(cold_at, Some(id), kegs, filled);
    }
    boils::note_left(&waters, writer);
    cold
}

/// Air in water once it is in a keg.
fn in_keg(context: Context<'_>, at: Temperature, air: AirContent) -> AirContent {
    recipe::filled_air(context.scenario, at, air).unwrap_or(air)
}

/// CO2 that is put on a keg when it was filled.
fn blanket(context: Context<'_>, (keg, store): (usize, usize)) -> Option<Blanket> {
    let (setup, policy) = (&context.scenario.setup, &context.scenario.policy);
    let kind = (&setup.keg_types[keg], &setup.cold_stores[store]);
    let kg = recipe::blanket_kg(context.scenario, kind).ok().flatten()?;
    Some(Blanket {
        purges: policy.purges,
        purge_bar: policy.purge_bar.bar(),
        bar: policy.blanket_bar?.bar(),
        co2_g_each: round(kg * 1000.0, 1),
    })
}

/// Kegs that were filled before the plan starts.
fn standing_cold(context: Context<'_>) -> Cold {
    let mut cold = Cold::new();
    let setup = &context.scenario.setup;
    for (n, filled) in context.scenario.stock.filled.iter().enumerate() {
        let keg = context.scenario.index().keg_type(&filled.keg_type);
        let store = context.scenario.index().store(&filled.store);
        if let (Some(keg), Some(store)) = (keg, store)
            && let Some(minutes) = context.recipes.cold_after(n)
            && let Some((step, at)) = context.recipes.standing_at(n)
        {
            let from = context.timeline.steps_for(minutes);
            let pool = cold.entry((keg, store)).or_default();
            let kind = (&setup.keg_types[keg], &setup.cold_stores[store]);
            let water = WaitedKeg::filled(at, context.recipes.most_air);
            let keg = WaitedKeg::in_stock(context.scenario, kind, water, Some(filled));
            let keg = keg.unwrap_or(water);
            pool.add(from, None, u32::from(filled.kegs), Filled { keg, step });
        }
    }
    cold
}

/// Kegs that were ready before the plan starts, the oldest first.
pub(super) fn standing_ready(context: Context<'_>) -> Ready {
    let mut ready = Ready::new();
    let mut standing: Vec<_> = context.scenario.stock.ready.iter().collect();
    standing.sort_by_key(|r| r.gassed_at);
    for r in standing {
        let product = context.scenario.index().product(&r.product);
        let keg = context.scenario.index().keg_type(&r.keg_type);
        let store = context.scenario.index().store(&r.store);
        if let (Some(product), Some(keg), Some(store)) = (product, keg, store) {
            let pool = ready.entry((product, keg, store)).or_default();
            pool.add(
                0,
                None,
                u32::from(r.kegs),
                air_in_stock(context, (keg, store)),
            );
        }
    }
    let mut gassing: Vec<_> = context.scenario.stock.under_way.gassing.iter().collect();
    gassing.sort_by_key(|g| g.ready_at);
    for g in gassing {
        let product = context.scenario.index().product(&g.product);
        let keg = context.scenario.index().keg_type(&g.keg_type);
        let store = context.scenario.index().store(&g.store);
        if let (Some(product), Some(keg), Some(store)) = (product, keg, store) {
            let from = context.timeline.step_from(g.ready_at.to_utc());
            let pool = ready.entry((product, keg, store)).or_default();
            pool.add(
                from,
                None,
                u32::from(g.kegs),
                air_in_stock(context, (keg, store)),
            );
        }
    }
    ready
}

/// Air in kegs that somebody gassed before the plan starts, in the middle of what it may be.
fn air_in_stock(context: Context<'_>, (keg, store): (usize, usize)) -> Airs {
    let setup = &context.scenario.setup;
    let (keg, store) = (&setup.keg_types[keg], &setup.cold_stores[store]);
    let water = WaitedKeg::filled(store.air_c, context.recipes.most_air);
    let stood = WaitedKeg::in_stock(context.scenario, (keg, store), water, None);
    let air = stood.unwrap_or(water).air.milligrams_per_litre();
    (air, air)
}

/// Writes the tappings and what is discarded.
pub(super) fn taps(context: Context<'_>, starts: &[Start], mut ready: Ready, writer: &mut Writer) {
    let setup = &context.scenario.setup;
    for start in starts {
        let now = (context.stamp(start.step), context.stamp(start.step));
        match start.work {
            Work::Tap {
                product,
                keg,
                store,
            } => {
                let pool = ready.entry((product, keg, store)).or_default();
                let taken = pool.take(start.step, start.count);
                let step = Step::Tap(TapStep {
                    product: setup.products[product].id.clone(),
                    keg_type: setup.keg_types[keg].id.clone(),
                    kegs: start.count,
                    store: setup.cold_stores[store].id.clone(),
                    from: sources(&taken),
                    serve_bar: serve_bar(context, (product, keg, store), &taken),
                });
                writer.add(now, 0.0, step);
            }
            Work::Discard {
                product,
                keg,
                store,
            } => {
                let pool = ready.entry((product, keg, store)).or_default();
                pool.take(start.step, start.count);
                let step = Step::Discard(DiscardStep {
                    product: setup.products[product].id.clone(),
                    keg_type: setup.keg_types[keg].id.clone(),
                    kegs: start.count,
                    store: setup.cold_stores[store].id.clone(),
                });
                writer.add(now, 0.0, step);
            }
            _ => {}
        }
    }
}

/// Pressure that keeps kegs of a product on tap at their target, by the air in the middle of them.
fn serve_bar(
    context: Context<'_>,
    (product, keg, store): (usize, usize, usize),
    taken: &[Taken<Airs>],
) -> f64 {
    let setup = &context.scenario.setup;
    let kind = (
        &setup.products[product],
        &setup.keg_types[keg],
        &setup.cold_stores[store],
    );
    let least = taken.iter().map(|kegs| kegs.known.0);
    let most = taken.iter().map(|kegs| kegs.known.1);
    let (least, most) = (
        least.fold(f64::INFINITY, f64::min),
        most.fold(0.0, f64::max),
    );
    let middle = AirContent::new(f64::midpoint(least, most));
    let bar = middle
        .map_err(NoRecipe::from)
        .and_then(|air| recipe::served_at(context.scenario, kind, air));
    let usual = context.recipes.serve_bar(product, keg, store);
    round(bar.map_or(usual, |bar| bar.bar()), 2)
}
