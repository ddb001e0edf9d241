//! Water that is left in the pots.

use std::collections::BTreeMap;

use super::execution_state::{Fate, Past};
use crate::plan::{BoilStep, FillStep, Step, WorkId, WorkItem};
use crate::scenario::UnderWay;

/// Litres that no fill has taken yet, by boil.
pub(super) fn left<'a>(past: &Past<'a>, before: &'a UnderWay) -> BTreeMap<&'a WorkId, f64> {
    let mut left = BTreeMap::new();
    let mut ends = BTreeMap::new();
    for boil in &before.boils {
        left.insert(&boil.item, boil.litres.litres());
        ends.insert(&boil.item, boil.until);
    }
    for item in &past.plan.work {
        if let Step::Boil(BoilStep { makes_l, .. }) = item.step {
            left.insert(&item.id, makes_l);
            ends.insert(&item.id, item.end);
        }
    }
    for item in past.plan.work.iter().filter(|item| done(past, item)) {
        let Step::Fill(FillStep {
            from,
            kegs,
            litres_each,
            ..
        }) = &item.step
        else {
            continue;
        };
        // The pot that must be empty first is drained first.
        let mut boils: Vec<&WorkId> = from.iter().collect();
        boils.sort_by_key(|id| ends.get(*id).copied());
        let mut missing = f64::from(*kegs) * litres_each;
        for boil in boils {
            if let Some(there) = left.get_mut(boil) {
                let taken = there.min(missing);
                *there -= taken;
                missing -= taken;
            }
        }
    }
    left
}

fn done(past: &Past<'_>, item: &WorkItem) -> bool {
    matches!(
        past.fate(&item.id),
        Some(Fate::Begun(_) | Fate::Over(_) | Fate::Failed(_))
    )
}
