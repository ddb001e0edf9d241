//! Setup: equipment, keg types, crew, products and policy, as one versioned document.

use chrono::{DateTime, FixedOffset};
use scheduler::check::{Danger, dangers, read_all};
use scheduler::sample;
use scheduler::scenario::{Policy, Scenario, Setup, Site, Stock};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Refusal, Revised, Revision};

/// What a site makes soda with, and how it wants it made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SetupDocument {
    /// Equipment, keg types, crew, routes, products and costs.
    pub(crate) setup: Setup,
    /// How soda is made here, and what a shortage counts for.
    pub(crate) policy: Policy,
}

/// A setup as it was stored, and what is allowed in it and yet dangerous.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct StoredSetup {
    /// Equipment, keg types, crew, routes, products and costs.
    setup: Setup,
    /// How soda is made here, and what a shortage counts for.
    policy: Policy,
    /// What to mind; left out where there is nothing. A plan says it again beside the work.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    dangers: Vec<Danger>,
}

impl StoredSetup {
    pub(crate) fn of(site: &Site, document: &SetupDocument) -> Self {
        Self {
            setup: document.setup.clone(),
            policy: document.policy.clone(),
            dangers: dangers(&at(site, document)),
        }
    }
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

/// Parts of a document that are to be different (RFC 7396).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(transparent)]
#[schema(value_type = Object)]
pub(crate) struct MergePatch(
    /// Names as in the document; `null` takes a part away.
    pub(crate) serde_json::Map<String, serde_json::Value>,
);

/// What turns one revision into another.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct SetupChanges {
    /// The revision the changes apply to.
    from: Revision,
    /// The revision they make of it.
    to: Revision,
    /// The changes, in the order they are applied (RFC 6902).
    #[schema(value_type = Vec<SetupChange>)]
    changes: json_patch::Patch,
}

/// One change (RFC 6902). Only its description is used; the library writes it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[allow(dead_code, reason = "it stands in the contract for the library's type")]
pub(crate) struct SetupChange {
    /// What is done.
    #[schema(example = "replace")]
    op: SetupChangeKind,
    /// Where, as a JSON pointer (RFC 6901).
    #[schema(example = "/setup/pots/0/power_w")]
    path: String,
    /// The new value, where there is one.
    #[schema(example = 6000.0)]
    value: Option<serde_json::Value>,
}

/// What a change does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
#[allow(dead_code, reason = "it stands in the contract for the library's type")]
pub(crate) enum SetupChangeKind {
    /// Something that was not there.
    Add,
    /// Something that is there no more.
    Remove,
    /// Something that is different.
    Replace,
}

impl SetupChanges {
    pub(crate) fn between(
        from: &Revised<SetupDocument>,
        to: &Revised<SetupDocument>,
    ) -> Result<Self, Refusal> {
        let value = |document| serde_json::to_value(document).map_err(Refusal::internal);
        Ok(Self {
            from: from.revision,
            to: to.revision,
            changes: json_patch::diff(&value(&from.document)?, &value(&to.document)?),
        })
    }
}

/// A setup with some parts replaced.
pub(crate) fn patched(
    document: &SetupDocument,
    patch: &serde_json::Map<String, serde_json::Value>,
) -> Result<SetupDocument, Refusal> {
    let right = serde_json::to_value(document).map_err(Refusal::internal)?;
    let mut value = right.clone();
    json_patch::merge(&mut value, &serde_json::Value::Object(patch.clone()));
    Ok(read_all(value, &right)?)
}

/// Reads a setup.
///
/// # Errors
/// Everything in it that cannot be read, by field.
pub(crate) fn read(said: serde_json::Value) -> Result<SetupDocument, Refusal> {
    let scenario = sample::fixed();
    let right = SetupDocument {
        setup: scenario.setup,
        policy: scenario.policy,
    };
    let right = serde_json::to_value(right).map_err(Refusal::internal)?;
    Ok(read_all(said, &right)?)
}

/// Checks a setup at its site, as the scheduler checks it before a plan.
pub(crate) fn check(site: &Site, document: &SetupDocument) -> Result<(), Refusal> {
    at(site, document).check()?;
    Ok(())
}

/// A setup at its site, with nothing there and nothing wanted.
fn at(site: &Site, document: &SetupDocument) -> Scenario {
    Scenario {
        site: site.clone(),
        setup: document.setup.clone(),
        policy: document.policy.clone(),
        stock: nothing(),
        demand: Vec::new(),
        horizon: sample::fixed().horizon,
    }
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
    fn a_patch_replaces_what_it_names_and_a_difference_finds_it_again() {
        let scenario = sample::fixed();
        let first = SetupDocument {
            setup: scenario.setup,
            policy: scenario.policy,
        };
        let patch = serde_json::json!({ "policy": { "purges": 5 } });
        let second = patched(&first, patch.as_object().unwrap()).unwrap();
        assert_eq!(second.setup, first.setup);
        let revised = |revision, document: &SetupDocument| Revised {
            revision,
            document: document.clone(),
        };
        let changes = SetupChanges::between(
            &revised(Revision::FIRST, &first),
            &revised(Revision::FIRST.next(), &second),
        );
        let changes = serde_json::to_value(changes.unwrap()).unwrap();
        assert_eq!(
            changes["changes"],
            serde_json::json!([{ "op": "replace", "path": "/policy/purges", "value": 5 }])
        );
    }

    #[test]
    fn a_patch_that_makes_no_setup_names_the_field() {
        let scenario = sample::fixed();
        let document = SetupDocument {
            setup: scenario.setup,
            policy: scenario.policy,
        };
        let patch = serde_json::json!({ "policy": { "purges": null } });
        let refusal = patched(&document, patch.as_object().unwrap()).unwrap_err();
        assert!(refusal.to_string().starts_with("policy"), "{refusal}");
    }

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
        assert!(
            faults.iter().all(|f| f.field.starts_with("setup.")),
            "{faults:?}"
        );
    }
}
