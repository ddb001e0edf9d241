//! What differs between two plans.

use scheduler::answer::{Change, Difference};
use serde::Serialize;
use utoipa::ToSchema;

use super::plans::PlanId;

/// What differs between two plans.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Comparison {
    /// The plan that was compared.
    pub(crate) before: PlanId,
    /// The plan it was compared with.
    pub(crate) after: PlanId,
    /// Work that was moved, resized, dropped or added, in order of time; `why` is empty.
    pub(crate) changes: Vec<Change>,
    /// Work items that are the same in both.
    #[schema(minimum = 0, example = 61)]
    pub(crate) same: usize,
    /// Litres served, costs, materials and work: figures of the second plan less those of the first.
    pub(crate) difference: Difference,
}
