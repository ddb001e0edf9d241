//! A plan: what to do and when, what is served, what is short and why, what to have on hand.

mod caution;
mod need;
mod served;
mod step;
mod verdict;
mod work;

pub use caution::{Caution, CautionKind};
pub use need::Need;
pub use served::{BindingStretch, Instead, Reason, Reserve, Served};
pub use step::{
    Blanket, BoilStep, CylinderStep, DiscardStep, FillStep, GasStep, IceStep, ReturnStep,
    StaleStep, Step, TapStep, WashStep,
};
pub use verdict::{Status, Verdict};
pub use work::{Dose, Source, WorkItem};

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::scenario::SiteId;
pub use crate::scenario::WorkId;

/// A plan for one horizon of a site.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Plan {
    /// The site.
    pub site: SiteId,
    /// First instant of the horizon.
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    pub start: DateTime<FixedOffset>,
    /// Last instant of the horizon.
    #[schema(value_type = String, format = DateTime, example = "2026-06-08T06:00:00+01:00")]
    pub end: DateTime<FixedOffset>,
    /// Minutes of a step; work starts on full steps.
    #[schema(example = 30)]
    pub grid_minutes: u16,
    /// How good the plan is, and how well that is known.
    pub verdict: Verdict,
    /// Every line of demand: what is served of it, what is short and why.
    pub services: Vec<Served>,
    /// What stands ready at the end of each day, where the setup asks for a safety stock.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reserves: Vec<Reserve>,
    /// Everything to do, in order.
    pub work: Vec<WorkItem>,
    /// What to have on hand.
    pub needs: Vec<Need>,
}

impl Plan {
    /// Litres wanted that the plan cannot serve.
    #[must_use]
    pub fn short_litres(&self) -> f64 {
        self.services.iter().map(|s| s.short_l).sum()
    }

    /// Kegs gassed by the plan.
    #[must_use]
    pub fn kegs_gassed(&self) -> u32 {
        self.work
            .iter()
            .map(|item| match &item.step {
                Step::Gas(gas) => gas.kegs,
                _ => 0,
            })
            .sum()
    }
}
