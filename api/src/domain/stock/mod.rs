//! Stock: a ledger of counts and movements that is only ever added to; balances follow from it.

mod balance;
mod correction;
mod movement;

use chrono::{DateTime, Duration, FixedOffset, Utc};
use scheduler::scenario::{Fault, KegTypeId, Scenario, Site, Stock};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

pub(crate) use balance::{Balance, balance};
pub(crate) use correction::{Correction, corrections};
pub(crate) use movement::Change;
#[cfg(test)]
pub(crate) use movement::{AmountChange, KegChange, MassChange};

use super::Refusal;
use super::setup::SetupDocument;

/// The caller's own name for an entry: a delivery note, a count sheet. A repeat changes nothing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(try_from = "String", into = "String")]
#[schema(value_type = String, min_length = 1, max_length = 120, example = "delivery-2026-0614")]
pub(crate) struct Reference(String);

/// Why a text is not a reference.
#[derive(Debug, thiserror::Error)]
#[error("a reference of {0} characters; 1 to 120 printable ones are allowed, not all blank")]
pub(crate) struct BadReference(usize);

impl Reference {
    pub(crate) fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for Reference {
    type Error = BadReference;
    fn try_from(text: String) -> Result<Self, BadReference> {
        let length = text.chars().count();
        let printable = text.chars().all(|c| !c.is_control());
        if (1..=120).contains(&length) && printable && !text.trim().is_empty() {
            Ok(Self(text))
        } else {
            Err(BadReference(length))
        }
    }
}

impl From<Reference> for String {
    fn from(reference: Reference) -> Self {
        reference.0
    }
}

impl std::fmt::Display for Reference {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// Everything that was found when somebody counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Count {
    /// The caller's own name for this count.
    pub(crate) reference: Reference,
    /// When it was counted (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    pub(crate) at: DateTime<FixedOffset>,
    /// What was found.
    pub(crate) stock: Stock,
}

/// Something that came in or went out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Movement {
    /// The caller's own name for this movement.
    pub(crate) reference: Reference,
    /// When it happened (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T08:30:00+01:00")]
    pub(crate) at: DateTime<FixedOffset>,
    /// What came in (above zero) or went out (below zero).
    pub(crate) change: Change,
}

/// What an entry of the ledger says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Record {
    /// Everything that was found when somebody counted.
    Count(Box<Count>),
    /// Something that came in or went out.
    Movement(Movement),
}

impl Record {
    pub(crate) fn reference(&self) -> &Reference {
        match self {
            Self::Count(count) => &count.reference,
            Self::Movement(movement) => &movement.reference,
        }
    }

    pub(crate) fn at(&self) -> DateTime<FixedOffset> {
        match self {
            Self::Count(count) => count.at,
            Self::Movement(movement) => movement.at,
        }
    }

    /// Refuses an entry from the future: it would stand above every count until then.
    pub(crate) fn check_time(&self, now: DateTime<Utc>) -> Result<(), Refusal> {
        let latest = now + Duration::days(1);
        if self.at() <= latest {
            return Ok(());
        }
        Err(Refusal::field(
            "at",
            format!(
                "{} found; it must not be later than a day from now, {}",
                self.at().to_rfc3339(),
                latest.to_rfc3339()
            ),
        ))
    }

    pub(crate) fn kind(&self) -> &'static str {
        match self {
            Self::Count(_) => "count",
            Self::Movement(_) => "movement",
        }
    }
}

/// An entry of the ledger.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct StockEntry {
    /// Its place in the ledger, in the order of recording.
    #[schema(minimum = 1, example = 12)]
    pub(crate) seq: i64,
    /// When it was recorded (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:04:11+01:00")]
    pub(crate) recorded_at: DateTime<FixedOffset>,
    /// What it says.
    pub(crate) record: Record,
}

/// Checks a movement against the site's setup.
pub(crate) fn check_movement(setup: &SetupDocument, movement: &Movement) -> Result<(), Refusal> {
    let (Change::CleanKegs { keg_type, .. } | Change::DirtyKegs { keg_type, .. }) =
        &movement.change
    else {
        return Ok(());
    };
    let known: Vec<&KegTypeId> = setup.setup.keg_types.iter().map(|k| &k.id).collect();
    if known.contains(&keg_type) {
        return Ok(());
    }
    let known: Vec<&str> = known.into_iter().map(KegTypeId::as_str).collect();
    Err(Refusal::field(
        "change.keg_type",
        format!(
            "there is no keg type \"{keg_type}\"; the setup has: {}",
            known.join(", ")
        ),
    ))
}

/// Checks a count against the site's setup.
pub(crate) fn check(site: &Site, setup: &SetupDocument, count: &Count) -> Result<(), Refusal> {
    // A count is of what stands there; what goes on is taken over by a replanning.
    if !count.stock.under_way.is_empty() {
        return Err(Refusal::field(
            "stock.under_way",
            "work under way found; only what is on hand can be counted".to_owned(),
        ));
    }
    let mut horizon = scheduler::sample::fixed().horizon;
    // What was gassed or tapped may not be later than the count.
    horizon.start = count.at;
    let scenario = Scenario {
        site: site.clone(),
        setup: setup.setup.clone(),
        policy: setup.policy.clone(),
        stock: count.stock.clone(),
        demand: Vec::new(),
        horizon,
    };
    let Err(faults) = scenario.check() else {
        return Ok(());
    };
    let about_stock = |fault: &Fault| fault.field.starts_with("stock");
    let faults: Vec<Fault> = faults.0.into_iter().filter(about_stock).collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Invalid(faults))
    }
}
