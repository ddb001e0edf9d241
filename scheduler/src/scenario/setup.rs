//! A site's setup: equipment, keg types, crew and products, as one versioned document.

use chrono::{NaiveDate, NaiveTime};
use model::{Carbonation, SugarContent, Temperature};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::calendar::{Outage, QuietHours};
use super::equipment::{Chill, Circuit, ColdStore, Ice, Pot, Wash};
use super::materials::{Cylinders, Ingredient, Material};
use super::quantities::{
    DemandVolume, Hours, Price, ShelfDays, StepMinutes, StockMass, SyrupShare,
};
use super::{
    CylinderRoom, GasStation, GasStationId, KegType, KegTypeId, MaterialId, PotId, ProductId,
    RouteId, StoreId,
};

/// Everything a site makes soda with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Setup {
    /// Vessels in which water is heated.
    #[schema(min_items = 1, max_items = 20)]
    pub pots: Vec<Pot>,
    /// Circuits and burners that pots share.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 20)]
    pub circuits: Vec<Circuit>,
    /// Refrigerated rooms and cabinets.
    #[schema(min_items = 1, max_items = 20)]
    pub cold_stores: Vec<ColdStore>,
    /// The ice machine and its bin.
    pub ice: Ice,
    /// Sizes and makes of kegs.
    #[schema(min_items = 1, max_items = 20)]
    pub keg_types: Vec<KegType>,
    /// Where kegs are carbonated.
    #[schema(min_items = 1, max_items = 20)]
    pub gas_stations: Vec<GasStation>,
    /// Where kegs are washed.
    pub wash: Wash,
    /// Who works when.
    pub crew: Crew,
    /// Ways of getting from tap water to a filled keg.
    #[schema(min_items = 1, max_items = 20)]
    pub routes: Vec<Route>,
    /// What is sold.
    #[schema(min_items = 1, max_items = 60)]
    pub products: Vec<Product>,
    /// What things cost.
    pub costs: Costs,
    /// How CO2 cylinders are coupled and changed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cylinders: Option<Cylinders>,
    /// The room the CO2 cylinder stands in. Where nothing is said, the setup warns of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cylinder_room: Option<CylinderRoom>,
    /// Materials of which a plan uses no more than there is.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 200)]
    pub materials: Vec<Material>,
    /// Hours in which some equipment may not run.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 28)]
    pub quiet_hours: Vec<QuietHours>,
    /// Equipment that is out of service for a while.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 200)]
    pub outages: Vec<Outage>,
}

/// Who works when, and how long steps keep them busy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Crew {
    /// The weekly pattern; shifts may overlap and then add up.
    #[schema(min_items = 1, max_items = 60)]
    pub shifts: Vec<Shift>,
    /// Dates on which the site is closed: nobody works, and nothing is delivered.
    #[serde(default)]
    #[schema(value_type = Vec<String>, max_items = 366, example = json!(["2026-12-25"]))]
    #[serde(deserialize_with = "crate::scenario::instants::dates")]
    pub closed: Vec<NaiveDate>,
    /// Minutes of hands to fill a pot, dose it and light it.
    pub start_boil_min: StepMinutes,
    /// Minutes of hands to chill a boil.
    pub chill_min: StepMinutes,
    /// Minutes of hands to fill one keg and put it away.
    pub fill_keg_min: StepMinutes,
}

/// Hands present on some days of the week.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Shift {
    /// The days of the week.
    #[schema(min_items = 1, max_items = 7)]
    pub days: Vec<Weekday>,
    /// Start, by the site's clock.
    #[schema(value_type = String, example = "09:00:00")]
    pub from: NaiveTime,
    /// End, by the site's clock; later than the start.
    #[schema(value_type = String, example = "17:00:00")]
    pub to: NaiveTime,
    /// How many people work on the soda program.
    #[schema(minimum = 1, maximum = 50, example = 1)]
    pub hands: u16,
    /// Times within the shift at which these hands rest.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 10)]
    pub breaks: Vec<Break>,
}

/// A time at which the hands of a shift rest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Break {
    /// Start, by the site's clock; within the shift.
    #[schema(value_type = String, example = "12:30:00")]
    pub from: NaiveTime,
    /// End, by the site's clock; later than the start, within the shift.
    #[schema(value_type = String, example = "13:00:00")]
    pub to: NaiveTime,
}

/// A day of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "seven days need no explanation")]
pub enum Weekday {
    Mon,
    Tue,
    Wed,
    Thu,
    Fri,
    Sat,
    Sun,
}

impl From<chrono::Weekday> for Weekday {
    fn from(day: chrono::Weekday) -> Self {
        match day {
            chrono::Weekday::Mon => Self::Mon,
            chrono::Weekday::Tue => Self::Tue,
            chrono::Weekday::Wed => Self::Wed,
            chrono::Weekday::Thu => Self::Thu,
            chrono::Weekday::Fri => Self::Fri,
            chrono::Weekday::Sat => Self::Sat,
            chrono::Weekday::Sun => Self::Sun,
        }
    }
}

/// One way of getting from tap water to a filled keg.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Route {
    /// The route's own id.
    pub id: RouteId,
    /// What people call it.
    #[schema(
        min_length = 1,
        max_length = 120,
        example = "Half ice, then the walk-in"
    )]
    pub name: String,
    /// Temperature the water is heated to.
    pub heat_to_c: Temperature,
    /// How long it is kept there. No figure of a plan changes with it but the time: the air that is
    /// left is reckoned at equilibrium, so 0 is right unless a site's own readings say otherwise.
    pub hold_min: StepMinutes,
    /// How it is chilled before filling.
    pub chill: Chill,
    /// Pots it may use.
    #[schema(min_items = 1, max_items = 20)]
    pub pots: Vec<PotId>,
    /// Cold stores its kegs may go to.
    #[schema(min_items = 1, max_items = 20)]
    pub stores: Vec<StoreId>,
}

/// Something that is sold by the litre.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Product {
    /// The product's own id.
    pub id: ProductId,
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "Plain soda")]
    pub name: String,
    /// CO2 dissolved in the finished drink.
    pub carbonation_g_per_l: Carbonation,
    /// Sugar in the finished drink.
    pub sugar_brix: SugarContent,
    /// Syrup that gives it that sugar.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub syrup: Option<Syrup>,
    /// How long it keeps after gassing.
    pub shelf_days: ShelfDays,
    /// How long a tapped keg of it is good.
    pub on_tap_h: Hours,
    /// Keg types it is put in; all of them where the list is empty.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub keg_types: Vec<KegTypeId>,
    /// Gassing points it may be made on; all of them where the list is empty.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub gas_stations: Vec<GasStationId>,
    /// What else goes into each keg of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 20)]
    pub ingredients: Vec<Ingredient>,
    /// What should stand ready at the end of each day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub safety: Option<SafetyStock>,
    /// Products that may be served where this one is wanted and short.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 20)]
    pub substitutes: Vec<Substitute>,
}

/// Litres of a product that should stand ready, gassed and cold, at the end of each of the plan's
/// days (the time of day at which it starts). A wish with a price, not a rule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SafetyStock {
    /// Litres that kegs standing ready should yield.
    pub litres: DemandVolume,
    /// What a missing litre counts for, each day.
    pub price_per_l: Price,
}

/// A product that may be served where another one is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Substitute {
    /// The product that is served instead.
    pub product: ProductId,
    /// How much less a litre of it is worth than the litre that was wanted.
    pub price_per_l: Price,
}

/// Syrup dosed into the keg before it is gassed, in place of water that is drawn off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Syrup {
    /// The material, as stock knows it (in litres).
    pub material: MaterialId,
    /// Syrup per litre of drink.
    pub ml_per_l: SyrupShare,
}

/// What things cost, in the site's currency.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Costs {
    /// An hour of one person's work.
    pub hands_per_h: Price,
    /// A kilowatt hour of heat taken in by a pot.
    pub heat_per_kwh: Price,
    /// A kilogram of CO2.
    pub co2_per_kg: Price,
    /// A kilogram of the site's own ice.
    pub ice_per_kg: Price,
    /// Chemicals and water to wash one keg.
    pub wash_per_keg: Price,
    /// Contents of a full CO2 cylinder, the unit CO2 is ordered in.
    pub co2_cylinder_kg: StockMass,
}
