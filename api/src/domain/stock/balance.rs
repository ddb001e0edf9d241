//! What is on hand at an instant, as the books tell it.

use chrono::{DateTime, FixedOffset};
use scheduler::scenario::Stock;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Reference;

/// What is on hand, and how it is known.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct Balance {
    /// The count it starts from.
    pub(crate) counted: Reference,
    /// When that was counted (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    pub(crate) counted_at: DateTime<FixedOffset>,
    /// Movements recorded since that count.
    #[schema(minimum = 0, example = 2)]
    pub(crate) movements: usize,
    /// Work finished or failed since that count.
    #[schema(minimum = 0, example = 5)]
    pub(crate) work: usize,
    /// What is on hand now, by state. Emptied kegs that have not come back from the bar are under
    /// `under_way`.
    pub(crate) stock: Stock,
    /// What work took that the books did not hold, since that count. Work is a fact, so it is not
    /// refused; the books stay at nothing, and a count puts them right.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(crate) missing: Vec<Missing>,
}

/// Something work took that the books did not hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = StockMissing)]
pub(crate) struct Missing {
    /// What it is about.
    #[schema(example = "clean keg-19")]
    pub(crate) what: String,
    /// How much of it was not there.
    #[schema(minimum = 0, example = 2.0)]
    pub(crate) amount: f64,
    /// The entry of the ledger.
    #[schema(minimum = 1, example = 12)]
    pub(crate) entry: i64,
}
