//! How good a plan is, and how well that is known.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How good a plan is, and how well that is known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Verdict {
    /// Whether the plan is proven to be as good as was asked for.
    pub status: Status,
    /// Worth of the plan: what it serves, less what it costs, in the site's currency.
    #[schema(example = 8214.5)]
    pub worth: f64,
    /// What no plan for this scenario can exceed.
    #[schema(example = 8219.0)]
    pub bound: f64,
    /// Distance between the two, as a part of the bound.
    #[schema(minimum = 0, example = 0.0005)]
    pub gap: f64,
    /// What the plan spends on hands, heat, ice, CO2 and washing.
    #[schema(minimum = 0, example = 212.4)]
    pub cost: f64,
    /// Currency of these amounts (ISO 4217).
    #[schema(example = "EUR")]
    pub currency: String,
    /// Litres served.
    #[schema(minimum = 0, example = 640.0)]
    pub served_l: f64,
    /// Litres wanted and not served.
    #[schema(minimum = 0, example = 0.0)]
    pub short_l: f64,
    /// Kegs gassed.
    #[schema(example = 38)]
    pub kegs_gassed: u32,
    /// Boils run.
    #[schema(example = 9)]
    pub boils: u32,
    /// Minutes of the plan that the replay walked and found in order.
    #[schema(example = 10080)]
    pub replayed_minutes: u32,
}

/// Whether a plan is proven to be as good as was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// No plan is better by more than a hundredth of a per cent.
    Optimal,
    /// No plan is better by more than the stated gap, which is as small as was asked for.
    WithinGap,
    /// The search went as wide as it goes; no plan is better by more than the stated gap.
    GapOpen,
    /// The time limit came first; no plan is better by more than the stated gap.
    StoppedByTime,
    /// Somebody stopped the search; no plan is better by more than the stated gap.
    StoppedByRequest,
}
