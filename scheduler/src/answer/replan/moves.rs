//! What differs between the published plan and the new one.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::plan::{
    BoilStep, CylinderStep, DiscardStep, FillStep, GasStep, IceStep, Plan, ReturnStep, StaleStep,
    Step, TapStep, WashStep, WorkId, WorkItem,
};

/// A work item that is not as it was published.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Change {
    /// The work item: its published id, or the new one of work that was added.
    pub item: WorkId,
    /// What kind of work it is.
    #[schema(example = "boil")]
    pub work: String,
    /// What was done to it.
    pub change: ChangeKind,
    /// Its published start; none for work that was added.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub from: Option<DateTime<FixedOffset>>,
    /// Its new start; none for work that was dropped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub to: Option<DateTime<FixedOffset>>,
    /// How much was published: kegs, litres of a boil, kilograms of ice.
    #[schema(minimum = 0, example = 3.0)]
    pub before: f64,
    /// How much it is now.
    #[schema(minimum = 0, example = 4.0)]
    pub after: f64,
    /// Why, most direct reason first.
    pub why: Vec<String>,
}

/// What was done to a work item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ChangeKind {
    /// It starts at another time, or somewhere else.
    Moved,
    /// It is more or less than published.
    Resized,
    /// It is not done any more.
    Dropped,
    /// It is new.
    Added,
}

/// What makes an item the same work as another: exactly, and roughly.
fn likeness(item: &WorkItem) -> Option<(String, String)> {
    let kind = item.step.kind();
    let (exact, rough) = match &item.step {
        Step::Boil(BoilStep { route, pot, .. }) => (format!("{route} {pot}"), String::new()),
        Step::Fill(FillStep {
            route,
            keg_type,
            store,
            ..
        }) => (format!("{route} {keg_type} {store}"), keg_type.to_string()),
        Step::Gas(GasStep {
            station,
            product,
            keg_type,
            store,
            uptake_min,
            ..
        }) => (
            format!("{station} {product} {keg_type} {store} {uptake_min:.1}"),
            format!("{product} {keg_type}"),
        ),
        Step::Tap(TapStep {
            product,
            keg_type,
            store,
            ..
        }) => (format!("{product} {keg_type} {store}"), product.to_string()),
        Step::Return(ReturnStep {
            product, keg_type, ..
        }) => (
            format!("{product} {keg_type}"),
            format!("{product} {keg_type}"),
        ),
        Step::Discard(DiscardStep {
            product,
            keg_type,
            store,
            ..
        }) => (
            format!("{product} {keg_type} {store}"),
            format!("{product} {keg_type}"),
        ),
        Step::Wash(WashStep { keg_type, .. }) => (keg_type.to_string(), keg_type.to_string()),
        Step::Ice(_) | Step::Cylinder(_) => (String::new(), String::new()),
        // What is poured away follows from what was not drunk.
        Step::Stale(_) => return None,
    };
    Some((format!("{kind} {exact}"), format!("{kind} {rough}")))
}

/// How much of it: kegs, litres of a boil, kilograms of ice.
pub(crate) fn amount(step: &Step) -> f64 {
    match step {
        Step::Boil(BoilStep { makes_l, .. }) => *makes_l,
        Step::Stale(StaleStep { litres, .. }) => *litres,
        Step::Ice(IceStep { kg, .. }) => *kg,
        Step::Cylinder(CylinderStep { cylinders, .. }) => f64::from(*cylinders),
        Step::Fill(FillStep { kegs, .. })
        | Step::Gas(GasStep { kegs, .. })
        | Step::Tap(TapStep { kegs, .. })
        | Step::Return(ReturnStep { kegs, .. })
        | Step::Discard(DiscardStep { kegs, .. })
        | Step::Wash(WashStep { kegs, .. }) => f64::from(*kegs),
    }
}

/// A difference in figures that are rounded is none.
fn differs(before: f64, after: f64) -> bool {
    (before - after).abs() > 0.05
}

/// Which new item is which published one, by positions in the two lists.
pub(crate) fn matches(published: &[WorkItem], new: &[WorkItem]) -> Vec<(usize, usize)> {
    let likes = |items: &[WorkItem]| items.iter().map(likeness).collect::<Vec<_>>();
    let (old_like, new_like) = (likes(published), likes(new));
    let mut pairs = Vec::new();
    let (mut old_done, mut new_done) = (BTreeSet::new(), BTreeSet::new());
    // The same work at the same time, then the same work nearest in time, then similar work.
    for pass in 0..3 {
        let key = |like: &Option<(String, String)>| {
            let (exact, rough) = like.clone()?;
            Some(if pass < 2 { exact } else { rough })
        };
        let mut by_key: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (n, like) in new_like.iter().enumerate() {
            if let Some(key) = key(like).filter(|_| !new_done.contains(&n)) {
                by_key.entry(key).or_default().push(n);
            }
        }
        for (o, like) in old_like.iter().enumerate() {
            let candidates = key(like).and_then(|key| by_key.get_mut(&key));
            let Some(candidates) = candidates.filter(|_| !old_done.contains(&o)) else {
                continue;
            };
            let apart = |n: usize| (new[n].start - published[o].start).num_minutes().abs();
            let best =
                (0..candidates.len()).min_by_key(|c| (apart(candidates[*c]), candidates[*c]));
            let Some(best) = best.filter(|c| pass > 0 || apart(candidates[*c]) == 0) else {
                continue;
            };
            let n = candidates.remove(best);
            old_done.insert(o);
            new_done.insert(n);
            pairs.push((o, n));
        }
    }
    pairs.sort_unstable();
    pairs
}

/// What differs between two plans: which work was moved, resized, dropped or added. No reasons.
///
/// ```no_run
/// # fn shown(published: &scheduler::plan::Plan, new: &scheduler::plan::Plan) {
/// for change in scheduler::answer::compare(published, new) {
///     println!("{}: {:?}", change.item, change.change);
/// }
/// assert!(scheduler::answer::compare(new, new).is_empty());
/// # }
/// ```
#[must_use]
pub fn compare(published: &Plan, new: &Plan) -> Vec<Change> {
    changes(&published.work, &new.work)
}

/// The differences, in order of time, without reasons yet. New items bear their own ids.
pub(crate) fn changes(published: &[WorkItem], new: &[WorkItem]) -> Vec<Change> {
    let pairs = matches(published, new);
    let mut changes = Vec::new();
    for (o, item) in published.iter().enumerate() {
        let Some(step) = likeness(item).map(|_| &item.step) else {
            continue;
        };
        let pair = pairs
            .iter()
            .find(|(old, _)| *old == o)
            .map(|(_, n)| &new[*n]);
        let (before, after) = (amount(step), pair.map_or(0.0, |now| amount(&now.step)));
        let change = match pair {
            None => ChangeKind::Dropped,
            Some(now) if now.start != item.start || likeness(now) != likeness(item) => {
                ChangeKind::Moved
            }
            Some(_) if differs(before, after) => ChangeKind::Resized,
            Some(_) => continue,
        };
        changes.push(Change {
            item: item.id.clone(),
            work: step.kind().to_owned(),
            change,
            from: Some(item.start),
            to: pair.map(|now| now.start),
            before,
            after,
            why: Vec::new(),
        });
    }
    for (n, item) in new.iter().enumerate() {
        if likeness(item).is_some() && !pairs.iter().any(|(_, new)| *new == n) {
            changes.push(Change {
                item: item.id.clone(),
                work: item.step.kind().to_owned(),
                change: ChangeKind::Added,
                from: None,
                to: Some(item.start),
                before: 0.0,
                after: amount(&item.step),
                why: Vec::new(),
            });
        }
    }
    changes.sort_by(|a, b| {
        let at = |c: &Change| c.from.or(c.to);
        at(a).cmp(&at(b)).then_with(|| a.item.cmp(&b.item))
    });
    changes
}
