//! The exact model of a plan, as a file for other solvers.

use std::path::Path;

use super::NoAnswer;
use crate::check::Checked;
use crate::mapping::network;
use crate::milp::export_mps;
use crate::recipe::Recipes;

/// Writes the program that [`plan`](super::plan) solves to an MPS file.
///
/// # Errors
/// [`NoAnswer::Export`] if the file cannot be written.
pub fn export_model(scenario: &Checked, path: &Path) -> Result<(), NoAnswer> {
    let recipes = Recipes::of(scenario)?;
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    let soda = network(scenario, &recipes, &timeline);
    let form = soda.formulate(scenario, &timeline);
    Ok(export_mps(&form.program, path)?)
}
