//! Work that has begun before the plan starts and goes on into it. It is a fact: the plan is made
//! around it.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::quantities::{BatchVolume, StepMinutes, StockMass};
use super::{GasStationId, KegTypeId, PotId, ProductId, RouteId, StoreId, WorkId};

/// Work that goes on when the plan starts, and what is on its way.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UnderWay {
    /// Boils in their pots.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 20)]
    pub boils: Vec<BoilUnderWay>,
    /// Kegs coupled to a gassing point.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 200)]
    pub gassing: Vec<GassingKegs>,
    /// Kegs in the wash.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 200)]
    pub washing: Vec<WashingKegs>,
    /// Emptied kegs that have not come back from the bar yet.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 200)]
    pub at_bar: Vec<KegsAtBar>,
    /// Ice that was ordered and is still to come.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 60)]
    pub ice_coming: Vec<IceComing>,
    /// Pots that are out of use for a while.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 20)]
    pub out_of_use: Vec<PotOutOfUse>,
}

impl UnderWay {
    /// Whether nothing is under way.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// A boil that has been started.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BoilUnderWay {
    /// The work item of the plan it was started by.
    pub item: WorkId,
    /// The route.
    pub route: RouteId,
    /// The pot.
    pub pot: PotId,
    /// Finished water that is still to be filled.
    pub litres: BatchVolume,
    /// When chilling starts; none where it has started already.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    #[serde(deserialize_with = "crate::scenario::instants::instant_if_any")]
    pub chill_at: Option<DateTime<FixedOffset>>,
    /// Ice it takes then, in the water or around the pot.
    pub ice_kg: StockMass,
    /// Minutes of hands its start still needs from the plan's start on.
    pub hands_min: StepMinutes,
    /// When filling may start.
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T11:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub fill_from: DateTime<FixedOffset>,
    /// When the pot must be empty.
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T12:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub until: DateTime<FixedOffset>,
}

/// Kegs coupled to a gassing point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GassingKegs {
    /// The station.
    pub station: GasStationId,
    /// The product they become.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// Where they stand.
    pub store: StoreId,
    /// How many.
    #[schema(minimum = 1, maximum = 10000, example = 2)]
    pub kegs: u16,
    /// Minutes of hands each still needs from the plan's start on, before it is turned down.
    pub hands_min: StepMinutes,
    /// When they are ready.
    #[schema(value_type = String, format = DateTime, example = "2026-06-04T09:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub ready_at: DateTime<FixedOffset>,
}

/// Kegs in the wash.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WashingKegs {
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    #[schema(minimum = 1, maximum = 10000, example = 2)]
    pub kegs: u16,
    /// Minutes of hands each still needs from the plan's start on.
    pub hands_min: StepMinutes,
    /// When they are clean.
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T11:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub until: DateTime<FixedOffset>,
}

/// Emptied kegs that have not come back from the bar yet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KegsAtBar {
    /// The product that was in them.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    #[schema(minimum = 1, maximum = 10000, example = 2)]
    pub kegs: u16,
    /// When their service is over and they may come back.
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T23:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub back_from: DateTime<FixedOffset>,
}

/// Ice that was ordered and is still to come.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct IceComing {
    /// How much.
    pub kg: StockMass,
    /// When it arrives.
    #[schema(value_type = String, format = DateTime, example = "2026-06-04T09:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub at: DateTime<FixedOffset>,
}

/// A pot that is out of use for a while.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PotOutOfUse {
    /// The pot.
    pub pot: PotId,
    /// When it may be used again.
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T14:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub until: DateTime<FixedOffset>,
}
