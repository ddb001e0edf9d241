//! What is served of each line of demand.

use super::{Context, Start, round};
use crate::mapping::Work;
use crate::plan::{Instead, Served};
use crate::scenario::ProductId;

/// Litres below this are rounding of the solver, not a shortage.
const NOTHING_LITRES: f64 = 0.01;

/// What is served of each line, without reasons yet.
pub(crate) fn served(context: Context<'_>, starts: &[Start]) -> Vec<Served> {
    let lines = context.scenario.demand.iter().enumerate();
    lines
        .map(|(n, line)| {
            let poured = poured(context, starts, n);
            let instead = instead(context, &poured, &line.product);
            let poured: f64 = poured.iter().sum();
            let wanted_l = line.litres.litres();
            let short = wanted_l - poured;
            let short_l = if short < NOTHING_LITRES {
                0.0
            } else {
                round(short, 2)
            };
            Served {
                demand: line.id.clone(),
                product: line.product.clone(),
                due: context.timeline.stamp(line.due.to_utc()),
                kind: line.kind,
                wanted_l,
                served_l: wanted_l - short_l,
                short_l,
                instead,
                why: Vec::new(),
            }
        })
        .collect()
}

/// Litres poured for a line, by product.
fn poured(context: Context<'_>, starts: &[Start], wanted: usize) -> Vec<f64> {
    let mut litres = vec![0.0; context.scenario.setup.products.len()];
    for start in starts {
        if let Work::Serve { line, product, .. } = start.work
            && line == wanted
        {
            litres[product] += start.size;
        }
    }
    litres
}

/// What of it is another product than the line wants.
fn instead(context: Context<'_>, poured: &[f64], wanted: &ProductId) -> Vec<Instead> {
    let products = context.scenario.setup.products.iter();
    products
        .zip(poured)
        .filter(|(product, litres)| product.id != *wanted && **litres >= NOTHING_LITRES)
        .map(|(product, litres)| Instead {
            product: product.id.clone(),
            litres: round(*litres, 2),
        })
        .collect()
}
