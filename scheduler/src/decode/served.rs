//! What is served of each line of demand.

use super::{Context, Start, round};
use crate::mapping::Work;
use crate::plan::Served;

/// Litres below this are rounding of the solver, not a shortage.
const NOTHING_LITRES: f64 = 0.01;

/// What is served of each line, without reasons yet.
pub(crate) fn served(context: Context<'_>, starts: &[Start]) -> Vec<Served> {
    let lines = context.scenario.demand.iter().enumerate();
    lines
        .map(|(n, line)| {
            let poured: f64 = starts
                .iter()
                .filter(|s| matches!(s.work, Work::Serve { line, .. } if line == n))
                .map(|s| s.size)
                .sum();
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
                why: Vec::new(),
            }
        })
        .collect()
}
