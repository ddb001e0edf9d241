//! What to do, with the numbers to do it by: a kind of step each.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Dose, Source, WorkId};
use crate::scenario::{GasStationId, KegTypeId, MaterialId, PotId, ProductId, RouteId, StoreId};

/// What to do, with the numbers to do it by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Step {
    /// Heat a pot, chill it, and have its water filled.
    Boil(BoilStep),
    /// Fill kegs and put them into a cold store.
    Fill(FillStep),
    /// Dose, purge and gas kegs.
    Gas(GasStep),
    /// Take kegs to the tap.
    Tap(TapStep),
    /// Pour away what has been on tap too long.
    Stale(StaleStep),
    /// Take in emptied kegs.
    Return(ReturnStep),
    /// Empty kegs that have passed their shelf life.
    Discard(DiscardStep),
    /// Wash and sanitise kegs.
    Wash(WashStep),
    /// Take in ice that was ordered.
    Ice(IceStep),
    /// Couple full CO2 cylinders in place of empty ones.
    Cylinder(CylinderStep),
}

impl Step {
    /// The kind, as ids and JSON say it.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Boil(_) => "boil",
            Self::Fill(_) => "fill",
            Self::Gas(_) => "gas",
            Self::Tap(_) => "tap",
            Self::Stale(_) => "stale",
            Self::Return(_) => "return",
            Self::Discard(_) => "discard",
            Self::Wash(_) => "wash",
            Self::Ice(_) => "ice",
            Self::Cylinder(_) => "cylinder",
        }
    }
}

/// Heat a pot, chill it, and have its water filled.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BoilStep {
    /// The route.
    pub route: RouteId,
    /// The pot.
    pub pot: PotId,
    /// Litres of tap water to put in.
    pub tap_l: f64,
    /// Grams of dechlorinating agent to stir in; none where the water holds no chlorine.
    pub agent_g: f64,
    /// Millilitres of a fresh stock solution, 10 g of the agent in a litre of water, that hold
    /// them; none where there is nothing to stir in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, example = 7.0)]
    pub agent_ml: Option<f64>,
    /// Temperature to heat to.
    pub heat_to_c: f64,
    /// Minutes until it is hot, as computed from power, volume and efficiency.
    pub heating_min: f64,
    /// Minutes to keep it there.
    pub hold_min: f64,
    /// Dissolved air expected in the water when it is filled.
    pub air_mg_per_l: f64,
    /// When chilling starts.
    #[schema(value_type = String, format = DateTime)]
    pub chill_at: DateTime<FixedOffset>,
    /// Kilograms of ice to stir into the water.
    pub ice_in_kg: f64,
    /// Kilograms of ice to put around the pot.
    pub ice_bath_kg: f64,
    /// Temperature to chill to.
    pub chill_to_c: f64,
    /// When filling may start; the item's end is when the pot must be empty.
    #[schema(value_type = String, format = DateTime)]
    pub fill_from: DateTime<FixedOffset>,
    /// Litres of finished water.
    pub makes_l: f64,
    /// Litres left over after filling, to be poured away.
    pub left_l: f64,
}

/// Fill kegs and put them into a cold store.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FillStep {
    /// The route.
    pub route: RouteId,
    /// The boils whose water it is.
    pub from: Vec<WorkId>,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    pub kegs: u32,
    /// The cold store.
    pub store: StoreId,
    /// Litres into each keg.
    pub litres_each: f64,
    /// Temperature of the water.
    pub at_c: f64,
    /// Air expected in the kegs then; plans of before know none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_mg_per_l: Option<f64>,
    /// CO2 that is put on as soon as the lid is; none where kegs wait under air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blanket: Option<Blanket>,
    /// When they are cold enough to gas.
    #[schema(value_type = String, format = DateTime)]
    pub cold_at: DateTime<FixedOffset>,
}

impl FillStep {
    /// CO2 that its kegs take when they are filled, in kilograms.
    #[must_use]
    pub fn co2_kg(&self) -> f64 {
        let each = self.blanket.as_ref().map_or(0.0, |b| b.co2_g_each);
        f64::from(self.kegs) * each / 1000.0
    }
}

/// CO2 that is put on a keg as soon as it is filled.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Blanket {
    /// Purges of the headspace.
    pub purges: u8,
    /// Gauge pressure to bring each purge to.
    pub purge_bar: f64,
    /// Gauge pressure each keg is left coupled at until it is gassed.
    pub bar: f64,
    /// CO2 each keg takes at once; what its water takes up later is counted when it is gassed.
    pub co2_g_each: f64,
}

/// Dose, purge and gas kegs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GasStep {
    /// The gassing point.
    pub station: GasStationId,
    /// The product they become.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    pub kegs: u32,
    /// The cold store they stand in.
    pub store: StoreId,
    /// Where their water comes from.
    pub from: Vec<Source>,
    /// The syrup, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub syrup: Option<MaterialId>,
    /// Litres of water to draw off each keg, and of syrup to put in instead.
    pub syrup_l_each: f64,
    /// What else goes into each keg.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ingredients: Vec<Dose>,
    /// Purges of the headspace.
    pub purges: u8,
    /// Gauge pressure to bring each purge to.
    pub purge_bar: f64,
    /// Gauge pressure to set the regulator to while the keg takes up CO2.
    pub regulator_bar: f64,
    /// Gauge pressure to hold it at afterwards.
    pub hold_bar: f64,
    /// Air expected in its water by then; plans of before know none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_mg_per_l: Option<f64>,
    /// Minutes it takes up CO2.
    pub uptake_min: f64,
    /// CO2 dissolved in the finished drink.
    pub target_g_per_l: f64,
    /// CO2 each keg takes, purges included.
    pub co2_g_each: f64,
    /// When it is ready for service.
    #[schema(value_type = String, format = DateTime)]
    pub ready_at: DateTime<FixedOffset>,
}

/// Take kegs to the tap.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TapStep {
    /// The product.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    pub kegs: u32,
    /// The cold store they come from.
    pub store: StoreId,
    /// Where they come from.
    pub from: Vec<Source>,
    /// Gauge pressure that keeps them as they are.
    pub serve_bar: f64,
}

/// Pour away what has been on tap too long.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct StaleStep {
    /// The product.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How much.
    pub litres: f64,
}

/// Take in emptied kegs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReturnStep {
    /// The product that was in them.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    pub kegs: u32,
}

/// Empty kegs that have passed their shelf life.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DiscardStep {
    /// The product.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    pub kegs: u32,
    /// The cold store they stand in.
    pub store: StoreId,
}

/// Wash and sanitise kegs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WashStep {
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    pub kegs: u32,
}

/// Take in ice that was ordered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct IceStep {
    /// How much.
    pub kg: f64,
    /// When it must be ordered.
    #[schema(value_type = String, format = DateTime)]
    pub order_by: DateTime<FixedOffset>,
}

/// Couple full CO2 cylinders in place of empty ones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CylinderStep {
    /// How many.
    pub cylinders: u32,
    /// CO2 that each full one gives before it is changed in its turn.
    pub co2_kg_each: f64,
}
