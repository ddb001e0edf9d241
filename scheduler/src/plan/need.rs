//! What to have on hand for a plan.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One thing a plan uses up, and whether there is enough of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Need {
    /// The material: `ice`, `co2`, `ascorbate`, or a syrup's id.
    #[schema(example = "ascorbate")]
    pub material: String,
    /// Its unit: `kg`, `g` or `L`.
    #[schema(example = "g")]
    pub unit: String,
    /// How much the plan uses.
    #[schema(minimum = 0, example = 4.1)]
    pub uses: f64,
    /// How much is on hand at the start.
    #[schema(minimum = 0, example = 250.0)]
    pub on_hand: f64,
    /// How much of it arrives while the plan lasts.
    #[serde(default, skip_serializing_if = "is_nothing")]
    #[schema(minimum = 0, example = 0.0)]
    pub arrives: f64,
    /// How much must be ordered; for ice, what the plan has delivered.
    #[schema(minimum = 0, example = 0.0)]
    pub order: f64,
    /// When what is on hand or has arrived runs out, if it does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-04T09:00:00+01:00")]
    pub runs_out: Option<DateTime<FixedOffset>>,
}

#[allow(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde passes a reference"
)]
fn is_nothing(amount: &f64) -> bool {
    *amount <= 0.0
}
