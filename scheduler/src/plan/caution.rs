//! The usual cautions, shown where the work is planned.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A caution that goes with a work item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Caution {
    /// What kind of danger.
    pub kind: CautionKind,
    /// What to mind, in a sentence or two.
    #[schema(example = "Scalding water: lift no full pot, keep the lid on, wear gloves.")]
    pub text: String,
}

/// What kind of danger a caution is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CautionKind {
    /// Hot water and hot vessels.
    HotWater,
    /// Vessels under pressure.
    Pressure,
    /// CO2 in closed rooms.
    CarbonDioxide,
    /// Ice and food hygiene.
    Food,
    /// Backflow into the drinking water.
    Backflow,
}
