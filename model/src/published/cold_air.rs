//! Air in cold water: Hamme & Emerson 2004, Deep-Sea Res. I 51:1517, for
//! nitrogen and argon; Benson & Krause 1984, Limnol. Oceanogr. 29:620, for
//! oxygen, as printed in Standard Methods.
//!
//! Both give what fresh water holds in equilibrium with air saturated with
//! vapour at one atmosphere in all, to 0.1 to 0.2 %. IAPWS G7-04 ([`super::g704`])
//! is a fit up to 640 K that reads 3 % low for nitrogen at 0 °C and 1 % high
//! for all three gases at 30 °C, so it is used for hot water only.

use crate::OutOfRange;
use crate::quantity::within;

/// Coefficients of powers of ln((298.15 - t)/(273.15 + t)), t in °C, S = 0.
const NITROGEN: [f64; 4] = [6.429_31, 2.927_04, 4.325_31, 4.691_49];
const ARGON: [f64; 4] = [2.791_50, 3.176_09, 4.131_16, 4.903_79];

/// Coefficients of powers of 1/T, T in K.
const OXYGEN: [f64; 5] = [
    -139.344_11,
    1.575_701e5,
    -6.642_308e7,
    1.243_800e10,
    -8.621_949e11,
];

/// Nitrogen in µmol/kg at a temperature in °C.
///
/// Measured from 1 to 30 °C.
///
/// # Errors
///
/// [`OutOfRange`] outside -5 to 50 °C.
///
/// ```
/// let nitrogen = model::published::cold_air::nitrogen(10.0)?;
/// assert!((nitrogen - 653.0).abs() < 1.0);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn nitrogen(celsius: f64) -> Result<f64, OutOfRange> {
    Ok(polynomial(&NITROGEN, scaled(celsius)?).exp())
}

/// Argon in µmol/kg at a temperature in °C.
///
/// Measured from 1 to 30 °C.
///
/// # Errors
///
/// [`OutOfRange`] outside -5 to 50 °C.
///
/// ```
/// let argon = model::published::cold_air::argon(10.0)?;
/// assert!((argon - 17.26).abs() < 0.05);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn argon(celsius: f64) -> Result<f64, OutOfRange> {
    Ok(polynomial(&ARGON, scaled(celsius)?).exp())
}

/// Oxygen in mg/L at a temperature in °C.
///
/// Published for 0 to 40 °C.
///
/// # Errors
///
/// [`OutOfRange`] outside -5 to 50 °C.
///
/// ```
/// // Standard Methods, table 4500-O: 9.092 mg/L at 20 °C, 14.621 at 0 °C.
/// let oxygen = model::published::cold_air::oxygen;
/// assert!((oxygen(20.0)? - 9.092).abs() < 1e-3);
/// assert!((oxygen(0.0)? - 14.621).abs() < 1e-3);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn oxygen(celsius: f64) -> Result<f64, OutOfRange> {
    let inverse = 1.0 / (in_range(celsius)? + 273.15);
    Ok(polynomial(&OXYGEN, inverse).exp())
}

fn scaled(celsius: f64) -> Result<f64, OutOfRange> {
    let t = in_range(celsius)?;
    Ok(((298.15 - t) / (273.15 + t)).ln())
}

fn in_range(celsius: f64) -> Result<f64, OutOfRange> {
    within(celsius, "temperature of cold water", "°C", -5.0, 50.0)
}

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}
