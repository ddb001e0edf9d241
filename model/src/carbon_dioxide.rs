//! CO2 as a gas and in its cylinder.

use crate::constants::{CO2_MOLAR_MASS, GAS_CONSTANT_CM3_BAR};
use crate::published::{span_wagner, weiss};
use crate::quantity::within;
use crate::{AbsolutePressure, Error, Temperature};

/// Density of CO2 gas, g/L, -8 to 46 °C and 0 to 20 bar.
///
/// Virial equation Z = 1 + B/V with B of Weiss 1974; within 0.2 % of Span &
/// Wagner 1996 to 11 bar (reference test).
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{AbsolutePressure, Temperature, carbon_dioxide};
///
/// let gas = carbon_dioxide::density(Temperature::of(2.0), AbsolutePressure::of(3.01325))?;
/// assert!((gas - 5.914).abs() < 0.02);
/// # Ok::<(), model::Error>(())
/// ```
pub fn density(at: Temperature, pressure: AbsolutePressure) -> Result<f64, Error> {
    let bar = within(pressure.bar(), "pressure of CO2 gas", "bar", 0.0, 20.0)?;
    let thermal = GAS_CONSTANT_CM3_BAR * at.kelvin();
    let shift = weiss::virial(at.kelvin())? * bar / thermal;
    // Z = 1 + B/V with V = ZRT/P gives Z² - Z - BP/RT = 0; BP/RT > -0.15 here.
    let compressibility = (1.0 + (1.0 + 4.0 * shift).sqrt()) / 2.0;
    Ok(bar * CO2_MOLAR_MASS / (compressibility * thermal) * 1000.0)
}

/// Pressure in a cylinder that still holds liquid CO2, -50 to 30.9 °C.
///
/// It says nothing about how much is left: weigh the cylinder. Span & Wagner
/// 1996, see [`span_wagner`].
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range; above 31 °C there is no liquid.
///
/// ```
/// use model::{Temperature, carbon_dioxide};
///
/// let cylinder = carbon_dioxide::vapour_pressure(Temperature::of(20.0))?;
/// assert!((cylinder.bar() - 57.3).abs() < 0.1);
/// # Ok::<(), model::Error>(())
/// ```
pub fn vapour_pressure(at: Temperature) -> Result<AbsolutePressure, Error> {
    Ok(AbsolutePressure::new(span_wagner::vapour_pressure(
        at.kelvin(),
    )?)?)
}
