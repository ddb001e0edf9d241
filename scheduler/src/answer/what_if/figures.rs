//! Figures of plans, and what is different between two.

use std::collections::BTreeMap;

use super::{Difference, Outcome, ServiceDifference};
use crate::answer::rounding::{cents, hundredths};
use crate::plan::{Need, Plan};
use crate::scenario::DemandId;

/// A plan in figures.
pub(super) fn outcome(plan: &Plan) -> Outcome {
    let mut work = BTreeMap::new();
    for item in &plan.work {
        *work.entry(item.step.kind().to_owned()).or_insert(0) += 1;
    }
    Outcome {
        verdict: plan.verdict.clone(),
        work,
        needs: plan.needs.clone(),
    }
}

/// Figures of one plan less those of another.
///
/// ```no_run
/// # fn shown(base: &scheduler::plan::Plan, plan: &scheduler::plan::Plan) {
/// let more = scheduler::answer::difference(base, plan);
/// println!("{} L more are served for {} more", more.served_l, more.cost);
/// # }
/// ```
#[must_use]
pub fn difference(base: &Plan, plan: &Plan) -> Difference {
    let (was, is) = (&base.verdict, &plan.verdict);
    Difference {
        served_l: hundredths(is.served_l - was.served_l),
        short_l: hundredths(is.short_l - was.short_l),
        cost: cents(is.cost - was.cost),
        worth: cents(is.worth - was.worth),
        worth_between: (cents(is.worth - was.bound), cents(is.bound - was.worth)),
        kegs_gassed: i64::from(is.kegs_gassed) - i64::from(was.kegs_gassed),
        work: work_difference(&outcome(base), &outcome(plan)),
        uses: uses_difference(&base.needs, &plan.needs),
        services: service_differences(base, plan),
    }
}

fn work_difference(was: &Outcome, is: &Outcome) -> BTreeMap<String, i64> {
    let kinds = was.work.keys().chain(is.work.keys());
    let count = |of: &Outcome, kind: &String| i64::from(of.work.get(kind).copied().unwrap_or(0));
    kinds
        .map(|kind| (kind.clone(), count(is, kind) - count(was, kind)))
        .filter(|(_, difference)| *difference != 0)
        .collect()
}

fn uses_difference(was: &[Need], is: &[Need]) -> BTreeMap<String, f64> {
    let of = |needs: &[Need], material: &str| {
        let same = needs.iter().filter(|n| n.material == material);
        same.map(|n| n.uses).sum::<f64>()
    };
    let materials = was.iter().chain(is).map(|n| &n.material);
    materials
        .map(|material| {
            let more = hundredths(of(is, material) - of(was, material));
            (material.clone(), more)
        })
        .filter(|(_, more)| more.abs() > 0.0)
        .collect()
}

fn service_differences(base: &Plan, plan: &Plan) -> Vec<ServiceDifference> {
    let served = |plan: &Plan| -> BTreeMap<DemandId, f64> {
        let services = plan.services.iter();
        services.map(|s| (s.demand.clone(), s.served_l)).collect()
    };
    let (was, is) = (served(base), served(plan));
    let mut lines: Vec<&DemandId> = was.keys().chain(is.keys()).collect();
    lines.sort();
    lines.dedup();
    let differences = lines.into_iter().map(|line| ServiceDifference {
        demand: line.clone(),
        before_l: was.get(line).copied(),
        after_l: is.get(line).copied(),
    });
    differences
        .filter(|d| match (d.before_l, d.after_l) {
            (Some(before), Some(after)) => (before - after).abs() > 0.005,
            _ => true,
        })
        .collect()
}
