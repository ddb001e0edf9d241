//! Enthalpy of water and of ice at one atmosphere, on one common zero.

use crate::OutOfRange;
use crate::quantity::within;

/// Coefficients of powers of t in °C. Fitted for this crate to IAPWS-IF97
/// region 1 (R7-97) at 101.325 kPa in steps of 1 °C over 0 to 110 °C; the
/// largest residual is 0.0013 kJ/kg. Differences are within 0.03 % of
/// IAPWS-95 (reference test).
const LIQUID: [f64; 8] = [
    0.062_241_707_18,
    4.218_369_791,
    -1.584_315_342e-3,
    3.611_907_948e-5,
    -5.416_337_876e-7,
    5.284_788_116e-9,
    -2.788_647_524e-11,
    6.125_778_924e-14,
];

/// Enthalpy of liquid water in kJ/kg at a temperature in °C.
///
/// # Errors
///
/// [`OutOfRange`] outside -5 to 110 °C.
///
/// ```
/// let h = model::published::water_enthalpy::liquid;
/// assert!((h(92.0)? - h(4.0)? - 368.562).abs() < 0.1);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn liquid(celsius: f64) -> Result<f64, OutOfRange> {
    let t = within(celsius, "temperature of liquid water", "°C", -5.0, 110.0)?;
    Ok(LIQUID.iter().rev().fold(0.0, |sum, c| sum * t + c))
}

/// Heat capacity of liquid water in kJ/(kg K): the derivative of [`liquid`].
///
/// # Errors
///
/// [`OutOfRange`] outside -5 to 110 °C.
///
/// ```
/// assert!((model::published::water_enthalpy::heat_capacity(20.0)? - 4.184).abs() < 0.002);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn heat_capacity(celsius: f64) -> Result<f64, OutOfRange> {
    let t = within(celsius, "temperature of liquid water", "°C", -5.0, 110.0)?;
    let mut slope = 0.0;
    for power in (1..LIQUID.len()).rev() {
        slope = slope * t + power as f64 * LIQUID[power];
    }
    Ok(slope)
}

/// Enthalpy of ice in kJ/kg at a temperature in °C: a quadratic through
/// IAPWS R10-06(2009), within 0.05 kJ/kg (reference test).
///
/// # Errors
///
/// [`OutOfRange`] outside -40 to 0 °C.
///
/// ```
/// assert!((model::published::water_enthalpy::ice(-5.0)? + 343.75).abs() < 0.05);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn ice(celsius: f64) -> Result<f64, OutOfRange> {
    let t = within(celsius, "temperature of ice", "°C", -40.0, 0.0)?;
    Ok(-333.360 + t * (2.096_57 + t * 0.003_672))
}
