//! Air left in water that was heated and filled into kegs.

use super::budget::{Budget, Input, budget, plus_minus, times, up_to};
use crate::published::weir;
use crate::{AbsolutePressure, AirContent, Error, Fraction, Temperature, air};

/// Water that was heated, chilled and filled.
///
/// ```
/// use model::uncertainty::BoiledWater;
/// use model::{AbsolutePressure, AirContent, Fraction, Temperature};
///
/// let water = BoiledWater {
///     tap: Temperature::of(15.0),
///     heated: Temperature::of(94.0),
///     filled: Temperature::of(4.0),
///     ice_share: Fraction::of(0.5),
///     ice_air: AirContent::of(15.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// let budget = water.budget()?;
/// // More may have gone wrong than right.
/// assert!(budget.up() > budget.down());
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoiledWater {
    /// Temperature of the tap water.
    pub tap: Temperature,
    /// Temperature it is heated to.
    pub heated: Temperature,
    /// Temperature it is filled at, 0 to 40 °C.
    pub filled: Temperature,
    /// Part of it that was ice.
    pub ice_share: Fraction,
    /// Air in a litre of the ice's meltwater.
    pub ice_air: AirContent,
    /// Air pressure of the site.
    pub atmosphere: AbsolutePressure,
}

/// Fall of water from a hose above the lid, m.
const FALL: f64 = 0.3;
/// Clean water over a sharp crest.
const FREE_FALL: [f64; 2] = [1.8, 1.0];

impl BoiledWater {
    /// How far off its air may be.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] outside the ranges of its fields.
    ///
    /// See [`BoiledWater`] for an example.
    pub fn budget(&self) -> Result<Budget, Error> {
        let ice = self.ice_air.milligrams_per_litre();
        let inputs = [
            Input::new(
                "solubility of air in hot water",
                times(1.04),
                "±4 %",
                "published fits differ by 3.5 % at 90 °C",
            ),
            Input::new(
                "temperature it is heated to",
                plus_minus(self.heated.celsius(), 1.0),
                "±1 K",
                "a thermometer: common practice, no source",
            ),
            Input::new(
                "how far heating gets",
                up_to(0.2),
                "80 % of the way at least",
                "not published: an estimate; stir, and heat slowly",
            ),
            Input::new(
                "air in the ice",
                (ice, [0.0, 39.0_f64.max(ice)]),
                "0 to 39 mg/L",
                "clear to cloudy ice: saturation at 0 °C, an estimate",
            ),
            Input::new(
                "free fall into the keg",
                up_to(FALL),
                "0.3 m where no hose reaches the bottom",
                "Butts & Evans 1983: a value of weirs, used for a keg",
            ),
        ];
        let gives = ("air in the water of a filled keg", "mg/L");
        budget(gives, inputs, |[fit, hot, short, ice, fall]| {
            let content = |at: Temperature| {
                let found = air::saturated(at, self.atmosphere)?;
                Ok::<f64, Error>(found.milligrams_per_litre())
            };
            let before = content(self.tap)?;
            let left = (content(Temperature::new(hot)?)? * fit).min(before);
            let boiled = left + short * (before - left);
            let share = self.ice_share.value();
            let mixed = boiled * (1.0 - share) + ice * share;
            let most = content(self.filled)?;
            let ratio = weir::deficit_ratio(FREE_FALL, fall, self.filled.celsius())?;
            Ok(most - (most - mixed) / ratio)
        })
    }
}
