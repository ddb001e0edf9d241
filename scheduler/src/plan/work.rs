//! Work items: one thing to do, with the numbers to do it by.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Caution, Step};
use crate::scenario::{MaterialId, WorkId};

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WorkItem {
    /// Its id within the plan.
    pub id: WorkId,
    /// When to start.
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T09:00:00+01:00")]
    pub start: DateTime<FixedOffset>,
    /// When it is over.
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T11:00:00+01:00")]
    pub end: DateTime<FixedOffset>,
    /// Minutes of hands it needs in all.
    #[schema(minimum = 0, example = 40.0)]
    pub hands_min: f64,
    /// What to do.
    #[serde(flatten)]
    pub step: Step,
    /// What to mind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<Caution>,
}

/// Kegs that come from an earlier work item, or from stock where there is none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Source {
    /// The work item that made them; none for what was on hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<WorkId>,
    /// How many kegs.
    #[schema(example = 2)]
    pub kegs: u32,
}

/// How much of a material goes into each keg.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Dose {
    /// The material.
    pub material: MaterialId,
    /// How much, in the material's unit.
    #[schema(minimum = 0, example = 46.25)]
    pub amount_each: f64,
}
