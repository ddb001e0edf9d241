//! What stands ready at the end of each day, where some should.

use super::{Context, Start, round};
use crate::mapping::Work;
use crate::plan::Reserve;

/// Litres below this are rounding of the solver.
const NOTHING_LITRES: f64 = 0.01;

/// Each product's reserve at the end of each day.
pub(crate) fn reserves(context: Context<'_>, starts: &[Start]) -> Vec<Reserve> {
    let mut found = Vec::new();
    for at in context.timeline.day_ends() {
        let Some(step) = context.timeline.step_of(at) else {
            continue;
        };
        for (p, product) in context.scenario.setup.products.iter().enumerate() {
            let Some(safety) = &product.safety else {
                continue;
            };
            let of_it = |work: &Work| matches!(work, Work::Keep { product, .. } if *product == p);
            let kept: f64 = starts
                .iter()
                .filter(|start| start.step == step && of_it(&start.work))
                .map(|start| start.size)
                .sum();
            let wanted_l = safety.litres.litres();
            let short = wanted_l - kept;
            let short_l = if short < NOTHING_LITRES {
                0.0
            } else {
                round(short, 2)
            };
            found.push(Reserve {
                product: product.id.clone(),
                at: context.stamp(step),
                wanted_l,
                kept_l: wanted_l - short_l,
                short_l,
            });
        }
    }
    found
}
