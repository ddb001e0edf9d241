//! Reserves: what is said to stand ready at the end of a day does.

use super::begun;
use super::level::Level;
use super::tap::DROP_L;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::plan::Reserve;
use crate::scenario::Product;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    let products = &walk.scenario.setup.products;
    let mut wanted = 0;
    for product in products.iter().filter(|p| p.safety.is_some()) {
        for end in walk.clock.day_ends() {
            let minute = usize::try_from(walk.minute(end)).unwrap_or(0);
            let minute = minute - minute % walk.grid;
            wanted += 1;
            let said = walk.plan.reserves.iter().find(|r| {
                let at = usize::try_from(walk.minute(r.at.to_utc()));
                r.product == product.id && at == Ok(minute)
            });
            match said {
                Some(said) => judge(walk, product, (said, minute), found),
                None => {
                    let text = format!("nothing is said of the reserve of {}", product.id);
                    found.add(Rule::Reserve, minute, None, text);
                }
            }
        }
    }
    if walk.plan.reserves.len() != wanted {
        let text = format!(
            "{} reserves in the plan; {wanted} are wanted",
            walk.plan.reserves.len()
        );
        found.add(Rule::Reserve, 0, None, text);
    }
}

fn judge(
    walk: &Walk<'_>,
    product: &Product,
    (said, minute): (&Reserve, usize),
    found: &mut Findings,
) {
    let wanted = product.safety.as_ref().map_or(0.0, |s| s.litres.litres());
    let adds_up = (said.kept_l + said.short_l - wanted).abs() <= DROP_L
        && (said.wanted_l - wanted).abs() <= DROP_L
        && said.kept_l >= 0.0
        && said.short_l >= 0.0;
    let there = litres_ready(walk, product, minute);
    if !adds_up || said.kept_l > there + DROP_L {
        let text = format!(
            "{:.1} L of {} kept and {:.1} L short of {wanted} L; {there:.1} L stand ready",
            said.kept_l, product.id, said.short_l
        );
        found.add(Rule::Reserve, minute, None, text);
    }
}

/// Litres that kegs standing ready after a minute's work would yield.
fn litres_ready(walk: &Walk<'_>, product: &Product, minute: usize) -> f64 {
    let loss = walk.scenario.policy.serving_loss.ratio();
    let mut litres = 0.0;
    for keg in &walk.scenario.setup.keg_types {
        let stock = walk.scenario.stock.ready.iter();
        let stock = stock.filter(|r| (&r.product, &r.keg_type) == (&product.id, &keg.id));
        let mut ready = Level::starting(stock.map(|r| f64::from(r.kegs)).sum(), walk.minutes);
        for store in &walk.scenario.setup.cold_stores {
            for (at, kegs) in begun::gassed(walk, (&product.id, &keg.id, &store.id)) {
                ready.supply(at, f64::from(kegs));
            }
        }
        let items = &walk.items;
        for gas in &items.gassings {
            if (&gas.product.id, &gas.keg.id) == (&product.id, &keg.id) {
                ready.change(gas.ready_at, f64::from(gas.kegs), gas.head.id);
            }
        }
        for tap in &items.taps {
            if (&tap.product.id, &tap.keg.id) == (&product.id, &keg.id) {
                ready.change(tap.head.start, -f64::from(tap.kegs), tap.head.id);
            }
        }
        for gone in &items.discards {
            if (&gone.product.id, &gone.keg.id) == (&product.id, &keg.id) {
                ready.change(gone.head.start, -f64::from(gone.kegs), gone.head.id);
            }
        }
        litres += ready.at(minute) * keg.fill_l.litres() * (1.0 - loss);
    }
    litres
}
