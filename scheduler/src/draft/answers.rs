//! What a person knows of their bar: the answers to ten questions.

use chrono::NaiveTime;
use chrono_tz::Tz;
use model::{Elevation, GaugePressure, Temperature, quantity};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::scenario::Weekday;
use crate::scenario::quantities::{ContainerVolume, PotVolume, StockMass};

quantity! {
    /// What the plate of a heater says it takes.
    pub struct RatedPower("rated power", "kW", 0.2..=100.0, example 3.0, get kilowatts)
}
quantity! {
    /// What the label of an ice machine says it makes in a day.
    pub struct LabelRate("ice by the label", "kg/day", 1.0..=40_000.0, example 60.0, get kilograms_per_day)
}
quantity! {
    /// Kegs, or crates of bottles, that a night pours.
    pub struct KegsWanted("kegs of a night", "kegs", 0.1..=500.0, example 3.0, get kegs)
}

/// What a person knows of their bar.
///
/// ```
/// let answers: scheduler::draft::Answers = serde_json::from_value(serde_json::json!({
///     "name": "Corner bar",
///     "place": { "time_zone": "Europe/Madrid" },
///     "pots": [{ "litres": 40.0, "kw": 3.0 }],
///     "cold": [{ "kind": "under_counter", "kegs": 8 }],
///     "kegs": [{ "litres": 19.0, "count": 10 }],
///     "gas": { "connections": 4, "highest_bar": 2.5 },
///     "ice": { "bag_kg": 20.0 },
///     "crew": [{ "days": ["wed", "thu", "fri"], "from": "10:00:00", "to": "16:00:00" }],
///     "drinks": [{ "name": "Plain soda", "fizz": "high" }],
///     "nights": [{ "days": ["fri", "sat"], "opens": "18:00:00", "kegs": 2.0 }],
/// }))?;
/// assert_eq!(answers.gas.regulators, 1);
/// # Ok::<(), serde_json::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Answers {
    /// What people call the bar. Its id is made from it.
    #[schema(min_length = 1, max_length = 120, example = "Corner bar")]
    pub name: String,
    /// Where it is.
    pub place: Place,
    /// What water is heated in.
    #[schema(min_items = 1, max_items = 20)]
    pub pots: Vec<PotAnswer>,
    /// What keeps kegs cold.
    #[schema(min_items = 1, max_items = 20)]
    pub cold: Vec<ColdAnswer>,
    /// Kegs, or bottles in crates, by size; the usual ones first.
    #[schema(min_items = 1, max_items = 20)]
    pub kegs: Vec<KegAnswer>,
    /// What kegs are gassed at.
    pub gas: GasBoardAnswer,
    /// Where ice comes from.
    pub ice: IceSupplyAnswer,
    /// Who works when.
    #[schema(min_items = 1, max_items = 60)]
    pub crew: Vec<ShiftAnswer>,
    /// What is poured.
    #[schema(min_items = 1, max_items = 60)]
    pub drinks: Vec<DrinkAnswer>,
    /// The nights on which the bar is open, and how much each pours.
    #[schema(min_items = 1, max_items = 28)]
    pub nights: Vec<NightAnswer>,
}

/// Where a bar is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Time zone of the IANA database.
    #[schema(value_type = String, example = "Europe/Madrid")]
    pub time_zone: Tz,
    /// Height above sea level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub elevation_m: Option<Elevation>,
    /// How cold the tap's water is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tap_c: Option<Temperature>,
    /// Three-letter currency code of ISO 4217.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(pattern = "^[A-Z]{3}$", example = "EUR")]
    pub currency: Option<String>,
}

/// Pots of one kind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PotAnswer {
    /// What each holds.
    pub litres: PotVolume,
    /// What its heater takes; it stands on a gas ring where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kw: Option<RatedPower>,
    /// How many there are.
    #[serde(default = "one")]
    #[schema(minimum = 1, maximum = 20, example = 1)]
    pub count: u8,
}

/// What keeps kegs cold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ColdAnswer {
    /// What kind of fridge it is.
    pub kind: FridgeKind,
    /// How many kegs fit in, of the kind that is told first; crates, if that is bottles.
    #[schema(minimum = 1, maximum = 5000, example = 8)]
    pub kegs: u16,
    /// How cold its air is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_c: Option<Temperature>,
}

/// Kinds of fridges.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FridgeKind {
    /// Under the counter or the tap, with still air.
    UnderCounter,
    /// As tall as a person, with a fan.
    Upright,
    /// A room.
    WalkIn,
}

/// Kegs, or bottles in crates, of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KegAnswer {
    /// What one is called by: 19 for a 19 L keg, 1 for a bottle of a litre.
    pub litres: ContainerVolume,
    /// How many kegs there are, or how many crates.
    #[schema(minimum = 1, maximum = 10000, example = 10)]
    pub count: u16,
    /// PET bottles in a crate; these are steel kegs where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 2, maximum = 20, example = 12)]
    pub bottles_per_crate: Option<u16>,
}

/// What kegs are gassed at.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GasBoardAnswer {
    /// Kegs that can be coupled at once.
    #[schema(minimum = 1, maximum = 200, example = 4)]
    pub connections: u16,
    /// Regulators before them: pressures that can be set beside each other.
    #[serde(default = "one_regulator")]
    #[schema(minimum = 1, maximum = 200, example = 1)]
    pub regulators: u16,
    /// The highest pressure they can be set to.
    pub highest_bar: GaugePressure,
    /// How kegs are gassed; chosen by the board where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub way: Option<GasWay>,
}

/// How kegs are gassed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GasWay {
    /// They stand under pressure for a day or two.
    Rest,
    /// Somebody shakes them.
    Shake,
}

/// Where ice comes from: a machine, bags, or both.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct IceSupplyAnswer {
    /// What the machine's label says it makes in a day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kg_per_day: Option<LabelRate>,
    /// What its bin holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bin_kg: Option<StockMass>,
    /// What a bag weighs that can be bought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bag_kg: Option<StockMass>,
}

/// Hands at work on some days of the week.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShiftAnswer {
    /// The days.
    #[schema(min_items = 1, max_items = 7)]
    pub days: Vec<Weekday>,
    /// From when, by the bar's clock.
    #[schema(value_type = String, example = "10:00:00")]
    pub from: NaiveTime,
    /// Until when; later than the start.
    #[schema(value_type = String, example = "16:00:00")]
    pub to: NaiveTime,
    /// How many people can work on the soda.
    #[serde(default = "one_hand")]
    #[schema(minimum = 1, maximum = 50, example = 1)]
    pub hands: u16,
}

/// What is poured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DrinkAnswer {
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "Plain soda")]
    pub name: String,
    /// How strongly it sparkles.
    pub fizz: Fizz,
    /// Whether it has sugar.
    #[serde(default)]
    pub sweet: bool,
}

/// How strongly a drink sparkles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Fizz {
    /// Softly.
    Low,
    /// As most sweet drinks.
    Medium,
    /// As most soda water.
    High,
    /// As much as a bar pours.
    VeryHigh,
}

/// Nights on which the bar is open.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NightAnswer {
    /// The days.
    #[schema(min_items = 1, max_items = 7)]
    pub days: Vec<Weekday>,
    /// When the first drink is poured, by the bar's clock.
    #[schema(value_type = String, example = "18:00:00")]
    pub opens: NaiveTime,
    /// Kegs that each of these nights pours, all drinks together, of the kind that is told first;
    /// crates, if that is bottles.
    pub kegs: KegsWanted,
}

fn one() -> u8 {
    1
}

fn one_regulator() -> u16 {
    1
}

fn one_hand() -> u16 {
    1
}
