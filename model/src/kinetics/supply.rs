//! When the regulator, not the water, sets the pace.

use super::gaps;
use crate::{
    AbsolutePressure, Carbonation, Error, GasFlow, MassTransfer, Temperature, TimeSpan, Volume,
    carbon_dioxide,
};

/// A keg that takes CO2 through a limited supply.
///
/// ```
/// use model::{GasFlow, Volume, kinetics::{STONE, Supply}};
///
/// let stone = Supply {
///     coefficient: STONE.high,
///     flow: GasFlow::of(2.0),
///     liquid: Volume::of(18.5),
/// };
/// assert!(stone.flow > GasFlow::of(1.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Mass-transfer coefficient of the method.
    pub coefficient: MassTransfer,
    /// Most gas the supply passes (litres at 15 °C and one atmosphere).
    pub flow: GasFlow,
    /// Liquid to be carbonated.
    pub liquid: Volume,
}

/// Time from one content to another when each gram must first come through
/// the supply: at the flow while that is slower, then at the coefficient.
///
/// # Errors
///
/// [`Error::NotPossible`] for a target at or above the equilibrium;
/// [`Error::OutOfRange`] beyond thirty years, as without flow or transfer.
///
/// ```
/// use model::{Carbonation, GasFlow, Volume, kinetics::{self, SHAKEN, Supply}};
///
/// let supply = Supply {
///     coefficient: SHAKEN.high,
///     flow: GasFlow::of(2.0),
///     liquid: Volume::of(18.5),
/// };
/// let time = kinetics::supply_time(
///     &supply,
///     Carbonation::NONE,
///     Carbonation::of(9.0),
///     Carbonation::of(9.1),
/// )?;
/// assert!(time.minutes() > 43.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn supply_time(
    supply: &Supply,
    start: Carbonation,
    target: Carbonation,
    equilibrium: Carbonation,
) -> Result<TimeSpan, Error> {
    let Some((wide, narrow)) = gaps(start, target, equilibrium)? else {
        return Ok(TimeSpan::ZERO);
    };
    let fastest = supply.grams_per_litre_second()?;
    let coefficient = supply.coefficient.per_second();
    if fastest <= 0.0 || coefficient <= 0.0 {
        return Ok(TimeSpan::new(f64::INFINITY)?);
    }
    // Above this gap the water would take more than the supply gives.
    let turn = (fastest / coefficient).clamp(narrow, wide);
    let limited = if turn < wide {
        (wide - turn) / fastest
    } else {
        0.0
    };
    let free = if turn > narrow {
        (turn / narrow).ln() / coefficient
    } else {
        0.0
    };
    Ok(TimeSpan::new(limited + free)?)
}

impl Supply {
    /// What the supply adds to each litre, g/(L s).
    fn grams_per_litre_second(&self) -> Result<f64, Error> {
        let litres = crate::quantity::within(
            self.liquid.litres(),
            "liquid to be carbonated",
            "L",
            1e-3,
            Volume::MAX,
        )?;
        let gas =
            carbon_dioxide::density(Temperature::of(15.0), AbsolutePressure::STANDARD_ATMOSPHERE)?;
        Ok(self.flow.litres_per_minute() / 60.0 * gas / litres)
    }
}
