//! What if: changes to a scenario solved side by side, and what they make different.

mod figures;
mod patch;
mod side_by_side;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;

use super::NoAnswer;
use crate::check::Checked;
use crate::milp::Watch;
use crate::plan::{Need, Verdict};
use crate::scenario::{DemandId, Scenario, read};
use crate::search::Limits;

pub use figures::difference;
use figures::outcome;
pub use patch::{BadPatch, patched};
use side_by_side::side_by_side;

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
    pub patch: Value,
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

/// Plans a scenario as it is and with each change, side by side on `limits.threads`. The plans share
/// nothing, so the answer does not depend on how many are made at once.
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
    let mut scenarios = question.scenarios(scenario)?;
    scenarios.insert(0, scenario.clone());
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

impl WhatIfQuestion {
    /// The scenario with each change by itself. Nothing is planned: whoever asks can be told at once
    /// what is wrong.
    ///
    /// # Errors
    /// [`NoAnswer::BadQuestion`] with the place of the first change that cannot be made, or makes
    /// the scenario one that cannot be planned.
    pub fn scenarios(&self, scenario: &Checked) -> Result<Vec<Checked>, NoAnswer> {
        let found = self.changes.len();
        if !(1..=MOST_CHANGES).contains(&found) {
            let what = format!("{found} found; 1 to {MOST_CHANGES} are allowed");
            return Err(refuse("changes", what));
        }
        let plain: &Scenario = scenario;
        let plain = serde_json::to_value(plain).map_err(|e| NoAnswer::Solver(e.to_string()))?;
        let changes = self.changes.iter().enumerate();
        changes
            .map(|(n, change)| change.made_to(&plain, n))
            .collect()
    }
}

impl ScenarioChange {
    /// A scenario with this change, which is the question's `n`th.
    fn made_to(&self, plain: &Value, n: usize) -> Result<Checked, NoAnswer> {
        let label = self.label.chars().count();
        if !(1..=120).contains(&label) {
            let what = format!("a label of {label} characters; 1 to 120 are allowed");
            return Err(refuse(format!("changes[{n}].label"), what));
        }
        let bad = |what: String| refuse(format!("changes[{n}].patch"), what);
        let json = patched(plain.clone(), &self.patch).map_err(|e| bad(e.to_string()))?;
        let scenario = read(&json.to_string()).map_err(|e| bad(e.to_string()))?;
        let scenario = scenario.check().map_err(|faults| bad(faults.to_string()))?;
        match scenario.demand.is_empty() {
            true => Err(bad(NoAnswer::NoDemand.to_string())),
            false => Ok(scenario),
        }
    }
}

fn refuse(field: impl Into<String>, what: impl Into<String>) -> NoAnswer {
    NoAnswer::BadQuestion {
        field: field.into(),
        what: what.into(),
    }
}
