//! What to boil, ice, fill, gas and wash, and when.

use super::NoAnswer;
use crate::milp::Watch;
use crate::plan::Plan;
use crate::scenario::Checked;
use crate::search::Limits;

/// Plans a scenario.
///
/// # Errors
/// [`NoAnswer`] if nothing is wanted, or the search was stopped before it had a first plan.
pub fn plan(scenario: &Checked, limits: Limits, watch: Watch<'_>) -> Result<Plan, NoAnswer> {
    let _ = (scenario, limits, watch);
    Err(NoAnswer::Solver("not yet".to_owned()))
}
