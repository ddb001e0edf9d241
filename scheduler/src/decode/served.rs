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
            let served_l = litres_served(wanted_l, poured);
            Served {
                demand: line.id.clone(),
                product: line.product.clone(),
                due: context.timeline.stamp(line.due.to_utc()),
                kind: line.kind,
                wanted_l,
                served_l,
                // A difference of two figures that were written has no more digits than they have.
                short_l: round(wanted_l - served_l, 6).max(0.0),
                instead,
                why: Vec::new(),
            }
        })
        .collect()
}

/// Litres served of those wanted: all of them but for a rounding, or what is poured, rounded once and
/// never less than nothing.
fn litres_served(wanted_l: f64, poured: f64) -> f64 {
    match wanted_l - poured < NOTHING_LITRES {
        true => wanted_l,
        // No hair below zero.
        false => round(poured, 2).clamp(0.0, wanted_l) + 0.0,
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_poured_is_not_served_however_odd_the_wish() {
        let mut chance = fastrand::Rng::with_seed(3);
        let odd = [13.299_999_999_999_999, 18.927, 0.1 + 0.2, 1e-3];
        let many = (0..1000).map(|_| chance.f64() * 60.0);
        for wanted in odd.into_iter().chain(many) {
            for poured in [0.0, -1e-9, 1e-9, wanted / 3.0, wanted - 1e-4, wanted + 1e-9] {
                let served = litres_served(wanted, poured);
                assert!((0.0..=wanted).contains(&served), "{wanted} {poured}");
                assert!((served - poured).abs() <= NOTHING_LITRES + 1e-9);
                assert!(!served.is_sign_negative(), "{wanted} {poured}");
            }
        }
    }
}
