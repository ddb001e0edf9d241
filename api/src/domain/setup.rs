//! Setup: equipment, keg types, crew, products and policy, as one versioned document.

use chrono::{DateTime, FixedOffset};
use scheduler::sample;
use scheduler::scenario::{Policy, Scenario, Setup, Site, Stock};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Refusal, Revision};

/// What a site makes soda with, and how it wants it made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SetupDocument {
    /// Equipment, keg types, crew, routes, products and costs.
    pub(crate) setup: Setup,
    /// How soda is made here, and what a shortage counts for.
    pub(crate) policy: Policy,
}

/// One revision of a setup.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct SetupRevision {
    /// Its number, which is also its ETag.
    pub(crate) revision: Revision,
    /// When it was stored (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T09:12:44+01:00")]
    pub(crate) created_at: DateTime<FixedOffset>,
}

/// Checks a setup at its site, as the scheduler checks it before a plan.
pub(crate) fn check(site: &Site, document: &SetupDocument) -> Result<(), Refusal> {
    let scenario = Scenario {
        site: site.clone(),
        setup: document.setup.clone(),
        policy: document.policy.clone(),
        stock: nothing(),
        demand: Vec::new(),
        horizon: sample::fixed().horizon,
    };
    scenario.check()?;
    Ok(())
}

fn nothing() -> Stock {
    Stock {
        empty: Vec::new(),
        filled: Vec::new(),
        ready: Vec::new(),
        on_tap: Vec::new(),
        ..sample::fixed().stock
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_station_must_name_kegs_there_are() {
        let scenario = sample::fixed();
        let mut document = SetupDocument {
            setup: scenario.setup,
            policy: scenario.policy,
        };
        assert!(check(&scenario.site, &document).is_ok());
        document.setup.keg_types.pop();
        let refusal = check(&scenario.site, &document).unwrap_err();
        let Refusal::Invalid(faults) = refusal else {
            panic!("{refusal}");
        };
        assert!(faults.iter().all(|f| f.field.starts_with("setup.")), "{faults:?}");
    }
}
