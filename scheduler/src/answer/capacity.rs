//! How many kegs can be ready by an instant, and what stops there being more.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::NoAnswer;
use crate::milp::Watch;
use crate::plan::{Reason, Status};
use crate::scenario::{Checked, KegTypeId, ProductId};
use crate::search::Limits;

/// The most kegs that can stand ready at an instant, if nothing is served before it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CapacityQuestion {
    /// The instant, inside the scenario's horizon (RFC 3339 with an offset).
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    pub by: DateTime<FixedOffset>,
    /// Only kegs of this product; of all products where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<ProductId>,
}

/// The most kegs that can be ready, with the bound that proves it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CapacityAnswer {
    /// The instant asked for.
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    pub by: DateTime<FixedOffset>,
    /// The product asked for; all products where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<ProductId>,
    /// The most kegs found.
    #[schema(example = 27)]
    pub kegs: u32,
    /// No plan can have more kegs ready than this.
    #[schema(example = 27)]
    pub at_most: u32,
    /// The kegs found, by product and keg type.
    pub by_keg: Vec<KegCount>,
    /// Whether the number is proven.
    pub status: Status,
    /// What limits it, most limiting first, each confirmed by solving again with one more unit.
    pub limits: Vec<Reason>,
}

/// Kegs of one product and type.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KegCount {
    /// The product.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    #[schema(example = 4)]
    pub kegs: u32,
}

/// Answers how many kegs can be ready by an instant.
///
/// # Errors
/// [`NoAnswer`] if the question is outside the scenario, or the search was stopped too early.
pub fn capacity(
    scenario: &Checked,
    question: &CapacityQuestion,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<CapacityAnswer, NoAnswer> {
    let _ = (scenario, question, limits, watch);
    Err(NoAnswer::Solver("not yet".to_owned()))
}
