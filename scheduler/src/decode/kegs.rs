//! Fills and tappings as work items, each with its history.

use std::collections::BTreeMap;

use super::boils::{self, Water};
use super::gassings::Filled;
use super::pool::{Pool, sources};
use super::{Context, Start, Writer, of_kind, round};
use crate::mapping::Work;
use crate::plan::{DiscardStep, FillStep, Step, TapStep};

/// Cold kegs that wait to be gassed, by keg type and store.
pub(super) type Cold = BTreeMap<(usize, usize), Pool<Filled>>;

/// Kegs ready for service, by product, keg type and store.
pub(super) type Ready = BTreeMap<(usize, usize, usize), Pool>;

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
        let from = boils::take(&mut waters, route, start.step, litres);
        let cooling = context.recipes.cools[keg][store][route].as_ref();
        let minutes = cooling.map_or(0.0, |c| c.minutes);
        let cold_at = start.step + 1 + context.timeline.steps_for(minutes);
        let step = Step::Fill(FillStep {
            route: setup.routes[route].id.clone(),
            from,
            keg_type: keg_type.id.clone(),
            kegs,
            store: setup.cold_stores[store].id.clone(),
            litres_each: keg_type.fill_l.litres(),
            at_c: context.recipes.water[route].at.celsius(),
            cold_at: context.stamp(cold_at),
        });
        let hands = f64::from(kegs) * crate::mapping::fill_minutes(context.scenario, keg_type);
        let times = (context.stamp(start.step), context.stamp(start.step + 1));
        let id = writer.add(times, hands, step);
        let pool = cold.entry((keg, store)).or_default();
        let filled = Filled {
            at: context.recipes.water[route].at,
            step: start.step + 1,
        };
        pool.add(cold_at, Some(id), kegs, filled);
    }
    boils::note_left(&waters, writer);
    cold
}

/// Kegs that were filled before the plan starts.
fn standing_cold(context: Context<'_>) -> Cold {
    let mut cold = Cold::new();
    for (n, filled) in context.scenario.stock.filled.iter().enumerate() {
        let keg = context.scenario.index().keg_type(&filled.keg_type);
        let store = context.scenario.index().store(&filled.store);
        if let (Some(keg), Some(store)) = (keg, store)
            && let Some(minutes) = context.recipes.cold_after(n)
            && let Some((step, at)) = context.recipes.standing_at(n)
        {
            let from = context.timeline.steps_for(minutes);
            let pool = cold.entry((keg, store)).or_default();
            pool.add(from, None, u32::from(filled.kegs), Filled { at, step });
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
            pool.add(0, None, u32::from(r.kegs), ());
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
            pool.add(from, None, u32::from(g.kegs), ());
        }
    }
    ready
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
                let step = Step::Tap(TapStep {
                    product: setup.products[product].id.clone(),
                    keg_type: setup.keg_types[keg].id.clone(),
                    kegs: start.count,
                    store: setup.cold_stores[store].id.clone(),
                    from: sources(&pool.take(start.step, start.count)),
                    serve_bar: round(context.recipes.serve_bar(product, keg, store), 2),
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
