//! What is heated or cooled: some water, and the steel around it.

use crate::constants::STEEL_HEAT_CAPACITY;
use crate::published::water_enthalpy;
use crate::quantity::within;
use crate::{Energy, Error, Mass, Temperature, Volume};

/// Kilograms in a litre measured at 4 °C. Kell 1975.
pub(crate) const COLD_DENSITY: f64 = 0.999_97;

/// Water (or a drink, taken as water) and the steel that holds it, at one
/// temperature throughout.
///
/// Litres are measured cold, at 4 °C, so that a load keeps its mass whatever
/// its temperature: 18.5 L of it are 18.5 kg.
///
/// ```
/// use model::{Load, Mass, Temperature, Volume};
///
/// let keg = Load { liquid: Volume::of(18.5), steel: Mass::of(4.2) };
/// let heat = keg.heat_between(Temperature::of(60.0), Temperature::of(4.0))?;
/// assert!((heat.kilowatt_hours() - 1.24).abs() < 0.01);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Litres of water, measured cold.
    pub liquid: Volume,
    /// Mass of stainless steel (0.5 kJ/(kg K), EN 10088-1).
    pub steel: Mass,
}

/// The temperatures at which a load is liquid water and can be calculated.
const LOWEST: f64 = -1.0;
const HIGHEST: f64 = 110.0;

impl Load {
    /// Heat that passes when the load goes from one temperature to the other,
    /// whichever is the warmer, -1 to 110 °C.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] outside that range.
    ///
    /// ```
    /// use model::{Energy, Load, Mass, Temperature, Volume};
    ///
    /// let pot = Load { liquid: Volume::of(30.0), steel: Mass::of(0.0) };
    /// let heat = pot.heat_between(Temperature::of(15.0), Temperature::of(95.0))?;
    /// assert!((heat.kilowatt_hours() - 2.79).abs() < 0.01);
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn heat_between(&self, one: Temperature, other: Temperature) -> Result<Energy, Error> {
        Ok(Energy::new((self.heat(one)? - self.heat(other)?).abs())?)
    }

    /// Kilograms of water.
    pub(crate) fn water_kilograms(&self) -> f64 {
        self.liquid.litres() * COLD_DENSITY
    }

    /// Heat content in joules, on the zero of [`crate::water::enthalpy`].
    pub(crate) fn heat(&self, at: Temperature) -> Result<f64, Error> {
        let t = liquid_celsius(at.celsius())?;
        let water = water_enthalpy::liquid(t)? * 1000.0;
        Ok(self.water_kilograms() * water + self.steel.kilograms() * STEEL_HEAT_CAPACITY * t)
    }

    /// Heat capacity in J/K; beyond the liquid range that of its end.
    pub(crate) fn capacity(&self, celsius: f64) -> f64 {
        let t = celsius.clamp(LOWEST, HIGHEST);
        // In range by the clamp, so the error arm is never taken.
        let water = water_enthalpy::heat_capacity(t).unwrap_or(4.2) * 1000.0;
        self.water_kilograms() * water + self.steel.kilograms() * STEEL_HEAT_CAPACITY
    }
}

/// Checks that water at this temperature is liquid.
pub(crate) fn liquid_celsius(celsius: f64) -> Result<f64, Error> {
    Ok(within(
        celsius,
        "temperature of liquid water",
        "°C",
        LOWEST,
        HIGHEST,
    )?)
}
