//! Stock: a ledger of counts and movements that is only ever added to; balances follow from it.

mod balance;
mod booking;
mod books;
mod correction;
mod kegs;
mod movement;
mod work;

use chrono::{DateTime, Duration, FixedOffset, Utc};
use chrono_tz::Tz;
use scheduler::check::Fault;
use scheduler::scenario::{KegTypeId, Scenario, Site, Stock, UnderWay};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

pub(crate) use balance::Balance;
pub(crate) use booking::{Booking, moved};
pub(crate) use books::{Books, Wrong};
pub(crate) use correction::{Correction, corrections};
pub(crate) use kegs::{KegAt, KegState, NamedKeg, named};
pub(crate) use movement::Change;
#[cfg(test)]
pub(crate) use movement::{AmountChange, KegChange, MassChange};
pub(crate) use work::WorkDone;

use super::codes::{Codes, Grai};
use super::setup::SetupDocument;
use super::{Refusal, time};

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
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    pub(crate) at: DateTime<FixedOffset>,
    /// What was found.
    pub(crate) stock: Stock,
    /// Kegs among them that are known one by one; kegs that are not named stay where they were known
    /// to be, as far as the numbers allow.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 1000)]
    pub(crate) kegs: Vec<NamedKeg>,
}

impl Count {
    /// A count of now that names no kegs.
    ///
    /// # Errors
    /// If the reference cannot be one.
    pub(crate) fn now(reference: &str, zone: Tz, stock: Stock) -> Result<Self, Refusal> {
        Ok(Self {
            reference: Reference::try_from(reference.to_owned()).map_err(Refusal::internal)?,
            at: time::now().with_timezone(&zone).fixed_offset(),
            stock,
            kegs: Vec::new(),
        })
    }
}

/// Something that came in or went out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Movement {
    /// The caller's own name for this movement.
    pub(crate) reference: Reference,
    /// When it happened (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T08:30:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    pub(crate) at: DateTime<FixedOffset>,
    /// What came in (above zero) or went out (below zero).
    pub(crate) change: Change,
    /// Kegs among them that are known one by one, by GRAI; only where kegs moved.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 1000)]
    pub(crate) kegs: Vec<Grai>,
}

/// What an entry of the ledger says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Record {
    /// Everything that was found when somebody counted.
    Count(Box<Count>),
    /// Something that came in or went out.
    Movement(Movement),
    /// Work of a published plan that was finished or failed.
    Work(Box<WorkDone>),
}

impl Record {
    pub(crate) fn reference(&self) -> &Reference {
        match self {
            Self::Count(count) => &count.reference,
            Self::Movement(movement) => &movement.reference,
            Self::Work(work) => &work.reference,
        }
    }

    pub(crate) fn at(&self) -> DateTime<FixedOffset> {
        match self {
            Self::Count(count) => count.at,
            Self::Movement(movement) => movement.at,
            Self::Work(work) => work.at,
        }
    }

    /// Whether it names a keg.
    pub(crate) fn names(&self, grai: &Grai) -> bool {
        match self {
            Self::Count(count) => count.kegs.iter().any(|keg| keg.grai == *grai),
            Self::Movement(movement) => movement.kegs.contains(grai),
            Self::Work(work) => work.kegs.contains(grai),
        }
    }

    /// Refuses names the service keeps for what it books itself.
    pub(crate) fn check_reference(&self) -> Result<(), Refusal> {
        if !self.reference().as_str().starts_with("work:") {
            return Ok(());
        }
        let what =
            "it begins with work:, which is kept for entries of finished work; choose another";
        Err(Refusal::field("reference", what))
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
            Self::Work(_) => "work",
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

/// Checks a movement against the site's setup and codes.
pub(crate) fn check_movement(
    setup: &SetupDocument,
    codes: &Codes,
    movement: &Movement,
) -> Result<(), Refusal> {
    let (Change::CleanKegs { keg_type, kegs } | Change::DirtyKegs { keg_type, kegs }) =
        &movement.change
    else {
        if movement.kegs.is_empty() {
            return Ok(());
        }
        let what = "kegs are named; only where kegs moved is that allowed";
        return Err(Refusal::field("kegs", what));
    };
    let known: Vec<&KegTypeId> = setup.setup.keg_types.iter().map(|k| &k.id).collect();
    if !known.contains(&keg_type) {
        let known: Vec<&str> = known.into_iter().map(KegTypeId::as_str).collect();
        return Err(Refusal::field(
            "change.keg_type",
            format!(
                "there is no keg type \"{keg_type}\"; the setup has: {}",
                known.join(", ")
            ),
        ));
    }
    let number = kegs.kegs().unsigned_abs();
    all_right(named("kegs", &movement.kegs, (keg_type, number), codes))
}

/// Checks a count against the site's setup and codes.
pub(crate) fn check(
    site: &Site,
    setup: &SetupDocument,
    codes: &Codes,
    count: &Count,
) -> Result<(), Refusal> {
    // A count is of what stands there; what goes on is taken over by a replanning.
    let beside = UnderWay {
        at_bar: Vec::new(),
        ..count.stock.under_way.clone()
    };
    if !beside.is_empty() {
        let what = "work under way found; only what is on hand, and emptied kegs at the bar \
                    (`at_bar`), can be counted";
        return Err(Refusal::field("stock.under_way", what));
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
    let mut faults = kegs::faults(count, codes);
    if let Err(found) = scenario.check() {
        let about_stock = |fault: &Fault| fault.field.starts_with("stock");
        faults.extend(found.0.into_iter().filter(about_stock));
    }
    all_right(faults)
}

fn all_right(faults: Vec<Fault>) -> Result<(), Refusal> {
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Invalid(faults))
    }
}
