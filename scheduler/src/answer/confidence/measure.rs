//! What to measure first: the unknowns of a plan, by what each costs as long as nobody knows it better.
//!
//! Each is taken to be as planned, one at a time, while everything else is as lucky as before; by as
//! much as fewer litres are missing then, its spread is to blame.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::NoAnswer;
use super::buffers::gain;
use super::floor::Floor;
use super::replays::Replays;
use super::spreads::Spreads;
use super::statistics::{Tally, tally};
use crate::answer::rounding::ten_thousandths;

/// Litres below which an unknown is not worth a measurement.
const WORTH_L: f64 = 0.05;

/// Something that can be measured with a thermometer, a scale or a clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Unknown {
    /// How fast pots heat.
    Heating,
    /// How fast kegs cool.
    Cooling,
    /// How fast resting kegs take up CO2.
    Resting,
    /// How fast shaken kegs take up CO2.
    Shaking,
    /// What the ice machine makes.
    IceRate,
    /// Ice that a boil takes.
    IceNeed,
    /// Ice that the bar takes.
    BarDraw,
    /// Minutes of hands.
    Hands,
    /// How cold the tap's water is.
    TapWater,
    /// How cold the stores are.
    StoreAir,
}

impl Unknown {
    /// All of them.
    const ALL: [Self; 10] = [
        Self::Heating,
        Self::Cooling,
        Self::Resting,
        Self::Shaking,
        Self::IceRate,
        Self::IceNeed,
        Self::BarDraw,
        Self::Hands,
        Self::TapWater,
        Self::StoreAir,
    ];

    /// The spreads of somebody who knows it.
    fn known(self, spreads: &Spreads) -> Spreads {
        let mut known = *spreads;
        match self {
            Self::Heating => known.heating = 1.0,
            Self::Cooling => known.cooling = 1.0,
            Self::Resting => known.resting = 1.0,
            Self::Shaking => known.shaking = 1.0,
            Self::IceRate => known.ice_rate = 1.0,
            Self::IceNeed => known.ice_need = 1.0,
            Self::BarDraw => known.bar_draw = 1.0,
            Self::Hands => known.hands = 1.0,
            Self::TapWater => known.tap_water_k = 0.0,
            Self::StoreAir => known.store_air_k = 0.0,
        }
        known
    }
}

/// An unknown, and what it costs as long as nobody knows it better.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Measure {
    /// What to measure.
    pub what: Unknown,
    /// Litres missing on average because of its spread.
    #[schema(minimum = 0, example = 2.4)]
    pub missing_l: f64,
    /// How many services fewer are met on average because of it.
    #[schema(example = 0.31)]
    pub services_fewer: f64,
    /// Standard error of that.
    #[schema(minimum = 0, example = 0.03)]
    pub standard_error: f64,
}

/// The unknowns that cost something, the dearest first.
///
/// # Errors
/// [`NoAnswer::Stopped`] if somebody asked to stop.
pub(super) fn first(
    floor: &Floor,
    now: &Tally,
    replays: &Replays<'_>,
) -> Result<Vec<Measure>, NoAnswer> {
    let missing = |tally: &Tally| tally.missing.iter().sum::<f64>();
    let mut found = Vec::new();
    // No unknown costs more than is missing at all.
    if missing(now) < WORTH_L {
        return Ok(found);
    }
    for what in Unknown::ALL {
        let spreads = what.known(replays.spreads);
        let then = tally(floor, &replays.with(&spreads))?;
        let missing_l = missing(now) - missing(&then);
        if missing_l < WORTH_L {
            continue;
        }
        let (more, error) = gain(now, &then);
        found.push(Measure {
            what,
            missing_l: ten_thousandths(missing_l),
            services_fewer: ten_thousandths(more),
            standard_error: ten_thousandths(error),
        });
    }
    found.sort_by(|a, b| b.missing_l.total_cmp(&a.missing_l));
    Ok(found)
}
