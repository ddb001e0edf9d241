//! What water is heated, chilled, kept and washed in.

use chrono::NaiveTime;
use model::{AirSpeed, Conductance, IceFactor, Mass, Temperature};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::quantities::{
    CoolingPower, Efficiency, HeaterPower, IceAir, IceRate, PotVolume, Price, StepMinutes,
    StockMass, VesselMass,
};
use super::{CircuitId, PotId, StoreId, Weekday};

/// A vessel in which water is heated to drive out dissolved air.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Pot {
    /// The pot's own id.
    pub id: PotId,
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "Large pot")]
    pub name: String,
    /// Water it holds when it is used full, melted ice included.
    pub volume_l: PotVolume,
    /// The least water it may be heated with.
    pub smallest_fill_l: PotVolume,
    /// Heat its burner or element takes in.
    pub power_w: HeaterPower,
    /// Part of that heat that reaches the water.
    pub efficiency: Efficiency,
    /// Mass of the empty pot, which is heated too.
    pub empty_kg: VesselMass,
    /// The circuit or burner it shares with other pots; it has its own where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circuit: Option<CircuitId>,
}

/// A circuit or gas supply that several pots share. Pots on it heat at once only while their
/// powers together stay within its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Circuit {
    /// The circuit's own id.
    pub id: CircuitId,
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "Kitchen ring main")]
    pub name: String,
    /// Power it gives to all its pots together.
    pub power_w: HeaterPower,
}

/// A refrigerated room or cabinet for kegs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ColdStore {
    /// The store's own id.
    pub id: StoreId,
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "Walk-in")]
    pub name: String,
    /// Places for kegs, after everything else that lives there.
    #[schema(minimum = 0, maximum = 5000, example = 24)]
    pub places: u16,
    /// Air temperature it holds.
    pub air_c: Temperature,
    /// Speed of the air over the kegs; 0 where no fan moves it.
    pub air_speed_m_per_s: AirSpeed,
    /// Connections for kegs that wait under CO2 to be gassed, where the site keeps them so; one for
    /// each place where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(maximum = 5000, example = 8)]
    pub blanket_connections: Option<u16>,
    /// Cooling power left over for warm kegs at that air temperature.
    ///
    /// A plan never puts in kegs that give off more than this in any step, so the air keeps its
    /// temperature. Where kegs that stand there when the plan starts give off more, the air warms
    /// until they give off just this much; they cool more slowly, and nothing warm is added until
    /// the store has caught up.
    pub cooling_w: CoolingPower,
}

/// The ice machine and its bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Ice {
    /// Ice made in an hour while the bin has room.
    pub rate_kg_per_h: IceRate,
    /// Ice the bin holds; more than that is not made.
    pub bin_kg: StockMass,
    /// Temperature of the ice in the bin.
    pub temperature_c: Temperature,
    /// Ice really used over ice that theory asks for, as calibration finds it: wet ice brings water
    /// that cools nothing. 1 where nothing is said: dry ice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub factor: Option<IceFactor>,
    /// Air in the ice, dissolved and trapped.
    pub air_mg_per_kg: IceAir,
    /// Whether the machine is fed with dechlorinated water.
    pub from_treated_water: bool,
    /// What the bar takes for its own service; it is served first.
    #[schema(max_items = 28)]
    pub bar_draw: Vec<IceDraw>,
    /// How more ice can be had.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purchase: Option<IcePurchase>,
}

/// Ice the bar takes on some days.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct IceDraw {
    /// The days of the week.
    #[schema(min_items = 1, max_items = 7)]
    pub days: Vec<Weekday>,
    /// Time of day.
    #[schema(value_type = String, example = "17:30:00")]
    pub at: NaiveTime,
    /// How much.
    pub kg: StockMass,
}

/// How more ice can be had.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct IcePurchase {
    /// Price of a kilogram, delivered.
    pub price_per_kg: Price,
    /// Time from order to delivery.
    pub lead_min: StepMinutes,
    /// The most that one delivery brings.
    pub largest_kg: StockMass,
    /// When it can be delivered, if somebody is there; when the day's first shift starts where
    /// nothing is said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 28)]
    pub delivered: Vec<DeliveryTime>,
    /// What each delivery costs, however much it brings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fee: Option<Price>,
}

/// A time of some days at which something can be delivered; it is there from the first full step
/// on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DeliveryTime {
    /// The days of the week.
    #[schema(min_items = 1, max_items = 7)]
    pub days: Vec<Weekday>,
    /// Time of day.
    #[schema(value_type = String, example = "10:00:00")]
    pub at: NaiveTime,
}

/// Where kegs are washed and sanitised.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Wash {
    /// Kegs that can be washed at once.
    #[schema(minimum = 1, maximum = 50, example = 2)]
    pub stations: u16,
    /// Time a keg spends there.
    pub minutes: StepMinutes,
    /// Minutes of hands each keg needs.
    pub hands_min: StepMinutes,
}

/// How a boil is chilled before it is filled.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Chill {
    /// Ice goes into the water and becomes part of it.
    IceInWater {
        /// Temperature of the mix.
        to_c: Temperature,
    },
    /// The covered pot stands in melting ice, which is thrown away afterwards.
    IceBath {
        /// Temperature the water is brought to.
        to_c: Temperature,
        /// Heat the pot gives to the bath per kelvin.
        conductance_w_per_k: Conductance,
        /// Ice spent over what the heat alone would melt, in kilograms per boil.
        extra_ice_kg: Mass,
    },
    /// Nothing: hot kegs go into the cold store.
    None,
}
