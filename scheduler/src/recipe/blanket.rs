//! CO2 on a keg as soon as it is filled: what it takes, and how long somebody is busy with it.

use model::gas_budget::GassedKeg;
use model::{SugarContent, Volume};

use super::{NoRecipe, atmosphere};
use crate::scenario::{ColdStore, KegType, Policy, Scenario};

/// Minutes to purge a keg and to couple it where the site says nothing (common practice, no source).
const USUAL_MINUTES: f64 = 2.0;

/// Kilograms of CO2 that purge a keg which was just filled, and fill its headspace; none where kegs
/// wait under air. They are those of a keg as cold as its store: a warmer one takes less.
pub(crate) fn blanket_kg(
    scenario: &Scenario,
    (keg, store): (&KegType, &ColdStore),
) -> Result<Option<f64>, NoRecipe> {
    let policy = &scenario.policy;
    let Some(held) = policy.blanket_bar else {
        return Ok(None);
    };
    let budget = model::gas_budget::keg(&GassedKeg {
        brim: Volume::new(keg.brim_l.litres())?,
        liquid: Volume::new(keg.fill_l.litres())?,
        temperature: store.air_c,
        held,
        purge: policy.purge_bar,
        purges: u32::from(policy.purges),
        sugar: SugarContent::of(0.0),
        atmosphere: atmosphere(scenario)?,
    })?;
    let sum = budget.purges.kilograms() + budget.headspace.kilograms();
    Ok(Some(sum))
}

/// Minutes of hands to purge a keg that was filled and to couple it.
pub(crate) fn blanket_minutes(policy: &Policy) -> f64 {
    let said = policy.blanket_min.map(|minutes| minutes.minutes());
    match policy.blanket_bar {
        Some(_) => said.unwrap_or(USUAL_MINUTES),
        None => 0.0,
    }
}
