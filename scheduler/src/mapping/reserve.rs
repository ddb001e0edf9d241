//! Safety stock: what should stand ready at the end of each day, as a wish with a price.

use super::gassing::Ready;
use super::{Builder, Work};
use crate::network::{Count, Resource, Task};

/// Litres of ready kegs that are kept at a day's end count up to what is wanted; they are free
/// again one step later.
pub(super) fn add(builder: &mut Builder<'_>, ready: &Ready) {
    let (scenario, timeline) = (builder.scenario, builder.timeline);
    let ends: Vec<usize> = timeline
        .day_ends()
        .filter_map(|at| timeline.step_of(at))
        .filter(|t| *t <= builder.steps())
        .collect();
    let loss = scenario.policy.serving_loss.ratio();
    for (p, product) in scenario.setup.products.iter().enumerate() {
        let Some(safety) = &product.safety else {
            continue;
        };
        let mut wanted = Resource::named(format!("reserve of {}", product.id));
        for t in &ends {
            wanted.supply(*t, safety.litres.litres());
        }
        // What is not kept on one day is no wish for the next.
        wanted.carries = false;
        let wanted = builder.resource(wanted);
        for stock in ready.stocks.iter().filter(|s| s.product == p) {
            let keg = &scenario.setup.keg_types[stock.keg];
            let a_litre = 1.0 / (keg.fill_l.litres() * (1.0 - loss));
            let store = &scenario.setup.cold_stores[stock.store].id;
            let name = format!("keep {} {} in {store}", product.id, keg.id);
            let task = Task::named(name, Count::Any)
                .up_to_at(1.0, ends.iter().copied())
                .sized(0.0, safety.litres.litres())
                .per_size(wanted, 0, -1.0)
                .per_size(stock.kegs.level, 0, -a_litre)
                .per_size(stock.kegs.level, 1, a_litre)
                .worth_per_size(safety.price_per_l.amount());
            let work = Work::Keep {
                product: p,
                keg: stock.keg,
                store: stock.store,
            };
            builder.task(task, work);
        }
    }
}
