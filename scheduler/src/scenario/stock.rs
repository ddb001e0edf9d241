//! What is on hand when the plan starts.

use chrono::{DateTime, FixedOffset};
use model::{AirContent, Carbonation, Temperature};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::quantities::{LitresOnTap, MaterialAmount, StockMass};
use super::{Delivery, KegTypeId, MaterialId, ProductId, StoreId, UnderWay};

/// What is on hand when the plan starts, by state.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Stock {
    /// Empty kegs.
    #[schema(max_items = 20)]
    pub empty: Vec<EmptyKegs>,
    /// Kegs filled with water and not yet gassed.
    #[serde(default)]
    #[schema(max_items = 200)]
    pub filled: Vec<FilledKegs>,
    /// Kegs gassed and cold, ready for service.
    #[serde(default)]
    #[schema(max_items = 500)]
    pub ready: Vec<ReadyKegs>,
    /// Kegs already tapped.
    #[serde(default)]
    #[schema(max_items = 200)]
    pub on_tap: Vec<TappedKegs>,
    /// Ice in the bin.
    pub ice_kg: StockMass,
    /// CO2 in all cylinders together, by weight.
    pub co2_kg: StockMass,
    /// Everything else that is used up.
    #[serde(default)]
    #[schema(max_items = 200)]
    pub materials: Vec<MaterialStock>,
    /// Materials and CO2 that are on their way.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 500)]
    pub deliveries: Vec<Delivery>,
    /// Work that has begun before the plan starts; none for a fresh plan.
    #[serde(default, skip_serializing_if = "UnderWay::is_empty")]
    pub under_way: UnderWay,
}

/// Empty kegs of one type.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EmptyKegs {
    /// The keg type.
    pub keg_type: KegTypeId,
    /// Washed, sanitised and ready to fill.
    #[schema(maximum = 10000, example = 20)]
    pub clean: u16,
    /// Waiting for the wash.
    #[schema(maximum = 10000, example = 14)]
    pub dirty: u16,
}

/// Kegs filled with water and not yet gassed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FilledKegs {
    /// The keg type.
    pub keg_type: KegTypeId,
    /// Where they stand.
    pub store: StoreId,
    /// How many.
    #[schema(minimum = 1, maximum = 10000, example = 4)]
    pub kegs: u16,
    /// Measured temperature of the water when the plan starts.
    pub temperature_c: Temperature,
    /// Air in the water by then. Where nothing is said, that of a keg which has waited for a day, or
    /// was just filled where it is still too warm to be gassed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_mg_per_l: Option<AirContent>,
    /// CO2 in the water by then, of a keg that waits under CO2; where nothing is said, as the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub co2_g_per_l: Option<Carbonation>,
}

/// Kegs gassed and cold, ready for service.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadyKegs {
    /// What is in them.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// Where they stand.
    pub store: StoreId,
    /// How many.
    #[schema(minimum = 1, maximum = 10000, example = 2)]
    pub kegs: u16,
    /// When they were gassed (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-05-30T15:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub gassed_at: DateTime<FixedOffset>,
}

/// Kegs on tap with something left in them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TappedKegs {
    /// What is in them.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// Litres left in one keg.
    pub litres: LitresOnTap,
    /// When it was tapped (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-05-31T17:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub tapped_at: DateTime<FixedOffset>,
}

/// A stock of a material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MaterialStock {
    /// The material; `ascorbate` is the dechlorinating agent, in grams.
    pub material: MaterialId,
    /// How much: grams of ascorbate, litres of a syrup.
    pub amount: MaterialAmount,
}
