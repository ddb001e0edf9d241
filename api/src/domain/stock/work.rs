//! What finished or failed work does to the stock, as one entry of the ledger.

use chrono::{DateTime, FixedOffset};
use scheduler::plan::WorkId;
use scheduler::scenario::{KegTypeId, ProductId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::super::codes::Grai;
use super::super::plans::PlanId;
use super::Reference;
use super::kegs::KegPlace;

/// Work that was finished or failed, with the amounts its plan gives. Written by the service.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = StockWork)]
pub(crate) struct WorkDone {
    /// `work:PLAN/ITEM`.
    #[schema(value_type = String, example = "work:01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d/gas-2")]
    pub(crate) reference: Reference,
    /// When it ended (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T11:10:00+01:00")]
    pub(crate) at: DateTime<FixedOffset>,
    /// The plan.
    pub(crate) plan: PlanId,
    /// The work item.
    pub(crate) item: WorkId,
    /// Whether it failed: what it was to make is lost.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub(crate) failed: bool,
    /// What it used up. Ice is not among it: the machine makes it and the bar takes it unbooked.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) uses: Vec<Used>,
    /// Kegs that are in another state now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) moved: Option<KegsMoved>,
    /// Litres poured away of what was on tap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) poured_away: Option<PouredAway>,
    /// Kegs among them that were named.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) kegs: Vec<Grai>,
}

/// A material that was used up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = StockUsed)]
pub(crate) struct Used {
    /// The material; `co2` is in kilograms, others in their own unit.
    #[schema(example = "co2")]
    pub(crate) material: String,
    /// How much.
    #[schema(minimum = 0, example = 0.42)]
    pub(crate) amount: f64,
}

/// Kegs that went from one state into another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct KegsMoved {
    /// Their type.
    pub(crate) keg_type: KegTypeId,
    /// How many.
    #[schema(minimum = 1, example = 2)]
    pub(crate) kegs: u32,
    /// What they were.
    pub(crate) from: KegPlace,
    /// What they are.
    pub(crate) to: KegPlace,
    /// Temperature of the water they were filled with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 18.0)]
    pub(crate) temperature_c: Option<f64>,
    /// When filled kegs are cold enough to gas, by the plan (RFC 3339).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T19:00:00+01:00")]
    pub(crate) cold_at: Option<DateTime<FixedOffset>>,
    /// The temperature they have then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 4.0)]
    pub(crate) cold_c: Option<f64>,
    /// Litres in each, where they go on tap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, example = 18.5)]
    pub(crate) litres_each: Option<f64>,
    /// What the plan pours from them, by service; the books take it off as services pass.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) pours: Vec<Pour>,
}

/// Litres poured at a service.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = StockPour)]
pub(crate) struct Pour {
    /// The service (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    pub(crate) due: DateTime<FixedOffset>,
    /// How much.
    #[schema(minimum = 0, example = 12.5)]
    pub(crate) litres: f64,
}

/// Litres that were poured away of what was on tap.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct PouredAway {
    /// The product.
    pub(crate) product: ProductId,
    /// The type of the kegs.
    pub(crate) keg_type: KegTypeId,
    /// How much.
    #[schema(minimum = 0, example = 6.5)]
    pub(crate) litres: f64,
}
