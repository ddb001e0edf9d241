//! The network of a capacity question: ready kegs at the last point are all that counts.

use std::collections::BTreeMap;

use super::wanted::Wanted;
use crate::mapping::{SodaNetwork, Work};
use crate::network::{ResourceId, Series};
use crate::recipe::Recipes;

/// Gassings that do the same: those of one station, keg type, store and length, and of one product
/// where it matters which.
type Alike = (usize, (usize, usize), u64, Option<usize>);

/// Leaves out gassings that cannot raise the count: those of other products, and, where any product
/// counts, those for which another product does the same with less CO2.
pub(super) fn only_useful_gassings(soda: &mut SodaNetwork, recipes: &Recipes, wanted: &Wanted) {
    let mut least: BTreeMap<Alike, (f64, usize)> = BTreeMap::new();
    let each = matches!(wanted, Wanted::Sets(_));
    for (n, gas) in recipes.gassings.iter().enumerate() {
        if wanted.counts(gas.product) {
            let product = each.then_some(gas.product);
            let same = (
                gas.station,
                (gas.keg, gas.store),
                gas.minutes.ceil() as u64,
                product,
            );
            let best = least.entry(same).or_insert((gas.co2_kg, n));
            if gas.co2_kg < best.0 {
                *best = (gas.co2_kg, n);
            }
        }
    }
    let tasks: Vec<_> = soda.net.tasks().map(|(id, _)| id).collect();
    for (id, work) in tasks.into_iter().zip(&soda.work) {
        if let Work::Gas { recipe, .. } = work
            && !least.values().any(|(_, n)| n == recipe)
        {
            soda.net.task_mut(id).most = Series::Constant(0.0);
        }
    }
}

/// Takes the worth from everything.
pub(super) fn nothing_has_worth(soda: &mut SodaNetwork) {
    let tasks: Vec<_> = soda.net.tasks().map(|(id, _)| id).collect();
    for id in tasks {
        let task = soda.net.task_mut(id);
        task.worth_per_start = Series::Constant(0.0);
        task.worth_per_size = 0.0;
    }
    let resources: Vec<_> = soda.net.resources().map(|(id, _)| id).collect();
    for id in resources {
        soda.net.resource_mut(id).worth = Series::Constant(0.0);
    }
}

/// Kegs that count, with the resources that hold them.
pub(super) type Counted = Vec<(usize, usize, Vec<ResourceId>)>;

/// Makes ready kegs at the last point the only thing of worth.
pub(super) fn count_ready(soda: &mut SodaNetwork, wanted: &Wanted) -> Counted {
    let last = soda.net.points() - 1;
    nothing_has_worth(soda);
    let counted: Counted = soda
        .ready
        .iter()
        .filter(|(p, _, _)| wanted.counts(*p))
        .cloned()
        .collect();
    for id in counted.iter().flat_map(|(_, _, levels)| levels) {
        let resource = soda.net.resource_mut(*id);
        *resource = resource.clone().worth_at_end(last, 1.0);
    }
    counted
}
