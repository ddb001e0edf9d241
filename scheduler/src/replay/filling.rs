//! Filling: as much as a keg takes, no hotter than it takes, into a store of the route; and the
//! syrup and whatever else its product takes.

use super::items::{Fill, Gas};
use super::violation::{Findings, Rule};
use super::walk::Walk;

/// Part by which a fill may differ from what a keg is filled with.
const ROUNDING: f64 = 0.01;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for fill in &walk.items.fills {
        amount(fill, found);
        let place = fill.head.place();
        let crate_of = u32::from(fill.keg.filled_together());
        found.require(fill.kegs % crate_of == 0, Rule::Filling, place, || {
            format!(
                "{} filled; {} is filled by the crate of {crate_of}",
                fill.kegs, fill.keg.id
            )
        });
        let hottest = fill.keg.hottest_fill_c;
        found.require(fill.at <= hottest, Rule::Filling, place, || {
            format!(
                "filled at {}; {} takes at most {hottest}",
                fill.at, fill.keg.id
            )
        });
        let leads = fill.route.stores.contains(&fill.store.id);
        found.require(leads, Rule::Filling, place, || {
            format!("route {} does not lead to {}", fill.route.id, fill.store.id)
        });
        found.require(!fill.from.is_empty(), Rule::Filling, place, || {
            "no boil is named that the water comes from".to_owned()
        });
    }
    for gas in &walk.items.gassings {
        dosed(gas, found);
        completed(gas, found);
    }
}

/// A keg gets the syrup its product has, in place of water.
fn dosed(gas: &Gas<'_>, found: &mut Findings) {
    let syrup = gas.product.syrup.as_ref();
    let share = syrup.map_or(0.0, |s| s.ml_per_l.millilitres_per_litre() / 1000.0);
    let wanted = share * gas.keg.fill_l.litres();
    let same = (gas.syrup_l_each - wanted).abs() <= wanted * ROUNDING + 0.005;
    let named = gas.syrup == syrup.map(|s| s.material.as_str());
    found.require(same && named, Rule::Filling, gas.head.place(), || {
        let (litres, id) = (gas.syrup_l_each, &gas.product.id);
        format!(
            "{litres:.2} L of {:?} dosed; {id} takes {wanted:.2} L",
            gas.syrup
        )
    });
}

/// What else goes into a keg goes into it.
fn completed(gas: &Gas<'_>, found: &mut Findings) {
    let litres = gas.keg.fill_l.litres();
    let wanted = &gas.product.ingredients;
    let same = wanted.len() == gas.ingredients.len()
        && wanted.iter().all(|ingredient| {
            let each = ingredient.per_l.per_litre() * litres;
            gas.ingredients.iter().any(|dose| {
                dose.material == ingredient.material
                    && (dose.amount_each - each).abs() <= each * ROUNDING + 0.001
            })
        });
    found.require(same, Rule::Filling, gas.head.place(), || {
        format!(
            "{} ingredients dosed, or amounts of them, that {} does not take",
            gas.ingredients.len(),
            gas.product.id
        )
    });
}

fn amount(fill: &Fill<'_>, found: &mut Findings) {
    let (each, wanted) = (fill.litres_each, fill.keg.fill_l.litres());
    let same = (each - wanted).abs() <= wanted * ROUNDING;
    found.require(same, Rule::Filling, fill.head.place(), || {
        format!(
            "{each:.2} L into each keg; {} is filled with {wanted} L",
            fill.keg.id
        )
    });
}
