//! Work that stays the same keeps its published name; new work gets numbers not used before.

use std::collections::BTreeMap;

use super::moves::matches;
use crate::plan::{FillStep, GasStep, Plan, Step, TapStep, WorkId, WorkItem};
use crate::scenario::Scenario;

/// Renames the items of a new plan. `published` is work that is still to come, `all` everything
/// that was ever published.
pub(super) fn carry_over(scenario: &Scenario, plan: &mut Plan, published: &[WorkItem], all: &Plan) {
    let pairs = matches(published, &plan.work);
    let mut next = highest(all);
    for boil in &scenario.stock.under_way.boils {
        let so_far = next.entry("boil").or_insert(0);
        *so_far = boil.item.number().unwrap_or(0).max(*so_far);
    }
    let mut names: BTreeMap<WorkId, WorkId> = BTreeMap::new();
    for (n, item) in plan.work.iter().enumerate() {
        let same = pairs.iter().find(|(_, new)| *new == n);
        let name = same.map(|(old, _)| published[*old].id.clone());
        let name = name.unwrap_or_else(|| {
            let kind = item.step.kind();
            let number = next.entry(kind).or_default();
            *number += 1;
            WorkId::new(kind, *number)
        });
        names.insert(item.id.clone(), name);
    }
    for item in &mut plan.work {
        rename(item, &names);
    }
}

/// The highest number of each kind of work that was published.
fn highest(all: &Plan) -> BTreeMap<&'static str, usize> {
    let mut highest = BTreeMap::new();
    for item in &all.work {
        let number = item.id.number().unwrap_or(0);
        let so_far = highest.entry(item.step.kind()).or_insert(0);
        *so_far = number.max(*so_far);
    }
    highest
}

/// Names that are not in the list, such as those of boils under way, stay.
fn rename(item: &mut WorkItem, names: &BTreeMap<WorkId, WorkId>) {
    let rename = |id: &mut WorkId| {
        if let Some(name) = names.get(id) {
            *id = name.clone();
        }
    };
    rename(&mut item.id);
    match &mut item.step {
        Step::Fill(FillStep { from, .. }) => from.iter_mut().for_each(rename),
        Step::Gas(GasStep { from, .. }) | Step::Tap(TapStep { from, .. }) => {
            let made = from.iter_mut().filter_map(|source| source.item.as_mut());
            made.for_each(rename);
        }
        _ => {}
    }
}
