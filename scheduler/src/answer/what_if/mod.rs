//! What if: changes to a scenario solved side by side, and what they make different.

use std::collections::BTreeMap;
use std::thread;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{NoAnswer, plan};
use crate::milp::Watch;
use crate::plan::{Need, Plan, Verdict};
use crate::scenario::{Checked, DemandId, Scenario, read};
use crate::search::Limits;

/// The most changes one question may have.
const MOST_CHANGES: usize = 20;

/// Changes to be compared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WhatIfQuestion {
    /// The changes; each is made to the scenario by itself.
    #[schema(min_items = 1, max_items = 20)]
    pub changes: Vec<ScenarioChange>,
}

/// One change to a scenario.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ScenarioChange {
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "A second ice machine")]
    pub label: String,
    /// An object is merged into the scenario (RFC 7396: a list replaces a list); a list of
    /// operations is applied to it (RFC 6902: single entries of a list can be changed).
    #[schema(value_type = Object, example = json!({"setup": {"ice": {"rate_kg_per_h": 12.0}}}))]
    pub patch: serde_json::Value,
}

/// The scenario as it is, and with each change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WhatIfAnswer {
    /// The scenario as it is.
    pub base: Outcome,
    /// Each change, in the order asked.
    pub cases: Vec<Case>,
}

/// A plan in figures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Outcome {
    /// How good the plan is, and how well that is known.
    pub verdict: Verdict,
    /// Work items by kind.
    pub work: BTreeMap<String, u32>,
    /// What it uses up.
    pub needs: Vec<Need>,
}

/// What one change makes different.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Case {
    /// What people call the change.
    pub label: String,
    /// The plan with it.
    pub outcome: Outcome,
    /// What is different: the figure with the change less the figure without.
    pub difference: Difference,
}

/// Figures with a change less figures without.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Difference {
    /// Litres served.
    #[schema(example = 24.0)]
    pub served_l: f64,
    /// Litres short.
    #[schema(example = -24.0)]
    pub short_l: f64,
    /// Cost.
    #[schema(example = 3.2)]
    pub cost: f64,
    /// Worth of the plan.
    #[schema(example = 476.8)]
    pub worth: f64,
    /// The least and the most by which the best plan's worth can differ, as proven by the bounds.
    pub worth_between: (f64, f64),
    /// Kegs gassed.
    #[schema(example = 2)]
    pub kegs_gassed: i64,
    /// Work items by kind, where they differ.
    pub work: BTreeMap<String, i64>,
    /// What is used up, by material, where it differs.
    pub uses: BTreeMap<String, f64>,
    /// Lines of demand that are served more or less.
    pub services: Vec<ServiceDifference>,
}

/// A line of demand that is served more or less.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ServiceDifference {
    /// The line.
    pub demand: DemandId,
    /// Litres served without the change; none for a line that the change brings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before_l: Option<f64>,
    /// Litres served with it; none for a line that the change takes away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_l: Option<f64>,
}

/// Plans a scenario as it is and with each change, side by side. The plans share nothing, so the
/// answer does not depend on how many are made at once.
///
/// # Errors
/// [`NoAnswer::BadQuestion`] if a change cannot be made, or makes the scenario one that cannot be
/// planned; [`NoAnswer`] as for a plan.
pub fn what_if(
    scenario: &Checked,
    question: &WhatIfQuestion,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<WhatIfAnswer, NoAnswer> {
    let found = question.changes.len();
    if !(1..=MOST_CHANGES).contains(&found) {
        return Err(refuse(
            "changes",
            format!("{found} found; 1 to {MOST_CHANGES} are allowed"),
        ));
    }
    let mut scenarios = vec![scenario.clone()];
    for (n, change) in question.changes.iter().enumerate() {
        scenarios.push(changed(scenario, change, n)?);
    }
    let mut plans = side_by_side(&scenarios, limits, watch)?.into_iter();
    let base = plans.next().ok_or(NoAnswer::NoDemand)?;
    let cases = question.changes.iter().zip(plans);
    Ok(WhatIfAnswer {
        cases: cases
            .map(|(change, plan)| Case {
                label: change.label.clone(),
                difference: difference(&base, &plan),
                outcome: outcome(&plan),
            })
            .collect(),
        base: outcome(&base),
    })
}

fn refuse(field: impl Into<String>, what: impl Into<String>) -> NoAnswer {
    NoAnswer::BadQuestion {
        field: field.into(),
        what: what.into(),
    }
}

fn changed(scenario: &Checked, change: &ScenarioChange, n: usize) -> Result<Checked, NoAnswer> {
    let field = format!("changes[{n}].patch");
    let label = change.label.chars().count();
    if !(1..=120).contains(&label) {
        let what = format!("a label of {label} characters; 1 to 120 are allowed");
        return Err(refuse(format!("changes[{n}].label"), what));
    }
    let plain: &Scenario = scenario;
    let failed = |e: serde_json::Error| refuse(field.clone(), e.to_string());
    let mut json = serde_json::to_value(plain).map_err(failed)?;
    if change.patch.is_array() {
        let operations: json_patch::Patch =
            serde_json::from_value(change.patch.clone()).map_err(failed)?;
        json_patch::patch(&mut json, &operations)
            .map_err(|e| refuse(field.clone(), e.to_string()))?;
    } else if change.patch.is_object() {
        json_patch::merge(&mut json, &change.patch);
    } else {
        let what = "an object to merge (RFC 7396) or a list of operations (RFC 6902) is allowed";
        return Err(refuse(field, what));
    }
    let scenario = read(&json.to_string()).map_err(|e| refuse(field.clone(), e.to_string()))?;
    scenario
        .check()
        .map_err(|faults| refuse(field, faults.to_string()))
}

/// Plans every scenario, as many at once as the machine has processors.
fn side_by_side(
    scenarios: &[Checked],
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Vec<Plan>, NoAnswer> {
    let at_once = thread::available_parallelism().map_or(1, usize::from);
    let cancel = watch.cancel;
    let mut plans = Vec::new();
    for some in scenarios.chunks(at_once) {
        let made: Vec<Result<Plan, NoAnswer>> = thread::scope(|scope| {
            let spawn = |scenario| {
                scope.spawn(move || {
                    let quiet = Watch::quiet(cancel);
                    plan(scenario, limits, quiet)
                })
            };
            let running: Vec<_> = some.iter().map(spawn).collect();
            let ended = running.into_iter().map(thread::ScopedJoinHandle::join);
            ended
                .map(|end| {
                    end.unwrap_or_else(|_| Err(NoAnswer::Solver("a thread failed".to_owned())))
                })
                .collect()
        });
        for plan in made {
            plans.push(plan?);
        }
    }
    Ok(plans)
}

fn outcome(plan: &Plan) -> Outcome {
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
/// ```
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
        cost: hundredths(is.cost - was.cost),
        worth: hundredths(is.worth - was.worth),
        worth_between: (
            hundredths(is.worth - was.bound),
            hundredths(is.bound - was.worth),
        ),
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

fn hundredths(x: f64) -> f64 {
    let rounded = (x * 100.0).round() / 100.0;
    // No hair below zero.
    rounded + 0.0
}
