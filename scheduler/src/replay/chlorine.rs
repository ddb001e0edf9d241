//! Dechlorination: the dose covers the chlorine measured in the tap water, with the site's margin,
//! and that of ice made from untreated water.

use model::{Error, Fraction, Volume};

use super::items::Boil;
use super::violation::{Findings, Rule};
use super::walk::Walk;

/// A dose may be this part smaller, by rounding.
const ROUNDING: f64 = 0.01;
/// Grams lost in rounding a small dose.
const ROUNDING_G: f64 = 0.001;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for boil in &walk.items.boils {
        let place = boil.head.place();
        if let Some(needed) = found.known(Rule::Dechlorination, place, needed_grams(walk, boil)) {
            let enough = boil.agent_g >= needed * (1.0 - ROUNDING) - ROUNDING_G;
            found.require(enough, Rule::Dechlorination, place, || {
                format!(
                    "{:.3} g stirred in; {needed:.3} g cover the chlorine",
                    boil.agent_g
                )
            });
        }
    }
}

fn needed_grams(walk: &Walk<'_>, boil: &Boil<'_>) -> Result<f64, Error> {
    let (policy, site) = (&walk.scenario.policy, &walk.scenario.site);
    // A kilogram of ice melts to a litre.
    let untreated_ice = if walk.scenario.setup.ice.from_treated_water {
        0.0
    } else {
        boil.ice_in_kg
    };
    let dose = model::dechlorination::dose(
        policy.agent,
        site.water.total_chlorine_mg_per_l,
        Volume::new(boil.tap_l + untreated_ice)?,
        Fraction::new(policy.agent_margin.ratio())?,
    )?;
    Ok(dose.grams())
}
