//! Solubility and fugacity of CO2: Weiss 1974, Marine Chemistry 2:203.

use crate::OutOfRange;
use crate::constants::{ATMOSPHERE_BAR, GAS_CONSTANT_CM3_BAR};
use crate::quantity::within;

/// Partial molar volume of CO2 in water, cm³/mol. Weiss 1974, from memory.
pub const MOLAR_VOLUME_IN_WATER: f64 = 32.3;

/// Solubility of CO2 in fresh water, mol/(kg atm) of fugacity.
///
/// Published for -1 to 40 °C.
///
/// # Errors
///
/// [`OutOfRange`] outside 272.15 to 313.15 K.
///
/// ```
/// let k0 = model::published::weiss::solubility(277.15)?;
/// assert!((k0 / 0.0664907285 - 1.0).abs() < 2e-4);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn solubility(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = within(
        kelvin,
        "temperature for CO2 solubility",
        "K",
        272.15,
        313.15,
    )? / 100.0;
    Ok((-60.2409 + 93.4517 / t + 23.3585 * t.ln()).exp())
}

/// Second virial coefficient of CO2, cm³/mol (coefficients from memory).
///
/// Within 0.5 % of Span & Wagner 1996 from 0 to 40 °C.
///
/// # Errors
///
/// [`OutOfRange`] outside 265 to 320 K.
///
/// ```
/// assert!((model::published::weiss::virial(273.15)? + 150.3).abs() < 0.9);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn virial(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = within(kelvin, "temperature for CO2 gas", "K", 265.0, 320.0)?;
    Ok(-1636.75 + t * (12.0408 + t * (-0.032_795_7 + t * 3.165_28e-5)))
}

/// Fugacity coefficient of CO2, exp(BP/RT), at a total pressure in bar.
///
/// Within 0.3 % of Span & Wagner 1996 up to 11 bar; accepted to 20 bar.
///
/// # Errors
///
/// [`OutOfRange`] outside 265 to 320 K or 0 to 20 bar.
///
/// ```
/// let phi = model::published::weiss::fugacity_coefficient(275.15, 3.01325)?;
/// assert!((phi / 0.98057 - 1.0).abs() < 3e-3);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn fugacity_coefficient(kelvin: f64, bar: f64) -> Result<f64, OutOfRange> {
    let p = within(bar, "total pressure for CO2", "bar", 0.0, 20.0)?;
    Ok((virial(kelvin)? * p / (GAS_CONSTANT_CM3_BAR * kelvin)).exp())
}

/// Factor by which pressure squeezes CO2 out of solution (Poynting):
/// exp(-v(P - 1 atm)/RT), at a total pressure in bar.
///
/// # Errors
///
/// [`OutOfRange`] outside 265 to 320 K or 0 to 20 bar.
///
/// ```
/// let factor = model::published::weiss::poynting(275.15, 3.01325)?;
/// assert!(factor > 0.997 && factor < 0.9975);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn poynting(kelvin: f64, bar: f64) -> Result<f64, OutOfRange> {
    let t = within(kelvin, "temperature for CO2 gas", "K", 265.0, 320.0)?;
    let p = within(bar, "total pressure for CO2", "bar", 0.0, 20.0)?;
    Ok((-MOLAR_VOLUME_IN_WATER * (p - ATMOSPHERE_BAR) / (GAS_CONSTANT_CM3_BAR * t)).exp())
}
