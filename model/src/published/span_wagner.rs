//! Liquid CO2 and its vapour: Span & Wagner 1996, J. Phys. Chem. Ref. Data
//! 25:1509, ancillary equations 3.13 to 3.15 (coefficients from memory).

use crate::OutOfRange;
use crate::quantity::within;

const CRITICAL_KELVIN: f64 = 304.1282;
const CRITICAL_BAR: f64 = 73.773;
const CRITICAL_DENSITY: f64 = 467.6;

/// Factors and powers of 1 - T/Tc in the logarithm of each quantity over its
/// critical value; for the pressure times Tc/T.
const PRESSURE: [(f64, f64); 4] = [
    (-7.060_208_7, 1.0),
    (1.939_121_8, 1.5),
    (-1.646_359_7, 2.0),
    (-3.299_563_4, 4.0),
];
const LIQUID: [(f64, f64); 4] = [
    (1.924_510_8, 0.34),
    (-0.623_855_55, 0.5),
    (-0.327_311_27, 10.0 / 6.0),
    (0.392_451_42, 11.0 / 6.0),
];
const VAPOUR: [(f64, f64); 5] = [
    (-1.707_487_9, 0.34),
    (-0.822_746_70, 0.5),
    (-4.600_854_9, 1.0),
    (-10.111_178, 7.0 / 3.0),
    (-29.742_252, 14.0 / 3.0),
];

/// Pressure of liquid CO2 in equilibrium with its vapour, bar.
///
/// # Errors
///
/// [`OutOfRange`] outside 216.592 to 304.1282 K, the triple and critical points.
///
/// ```
/// assert!((model::published::span_wagner::vapour_pressure(293.15)? / 57.29 - 1.0).abs() < 1e-3);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn vapour_pressure(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = liquid_kelvin(kelvin)?;
    Ok(CRITICAL_BAR * (sum(&PRESSURE, t) * CRITICAL_KELVIN / t).exp())
}

/// Slope of the vapour pressure over temperature, bar/K.
///
/// # Errors
///
/// As [`vapour_pressure`].
///
/// ```
/// use model::published::span_wagner::{vapour_pressure, vapour_pressure_slope};
///
/// let rise = (vapour_pressure(290.05)? - vapour_pressure(289.95)?) / 0.1;
/// assert!((vapour_pressure_slope(290.0)? / rise - 1.0).abs() < 1e-5);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn vapour_pressure_slope(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = liquid_kelvin(kelvin)?;
    let tau = 1.0 - t / CRITICAL_KELVIN;
    let slope: f64 = PRESSURE
        .iter()
        .map(|(factor, power)| factor * power * tau.powf(power - 1.0))
        .sum();
    let logarithm = CRITICAL_KELVIN / t * sum(&PRESSURE, t);
    Ok(-vapour_pressure(t)? / t * (logarithm + slope))
}

/// Density of liquid CO2 under its own vapour, kg/m³.
///
/// # Errors
///
/// As [`vapour_pressure`].
///
/// ```
/// // Handbook value at 20 °C: 773.4 kg/m³.
/// assert!((model::published::span_wagner::liquid_density(293.15)? - 773.4).abs() < 0.2);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn liquid_density(kelvin: f64) -> Result<f64, OutOfRange> {
    Ok(CRITICAL_DENSITY * sum(&LIQUID, liquid_kelvin(kelvin)?).exp())
}

/// Density of CO2 vapour over its liquid, kg/m³.
///
/// # Errors
///
/// As [`vapour_pressure`].
///
/// ```
/// // Handbook value at 20 °C: 194.2 kg/m³.
/// assert!((model::published::span_wagner::vapour_density(293.15)? - 194.2).abs() < 0.2);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn vapour_density(kelvin: f64) -> Result<f64, OutOfRange> {
    Ok(CRITICAL_DENSITY * sum(&VAPOUR, liquid_kelvin(kelvin)?).exp())
}

fn liquid_kelvin(kelvin: f64) -> Result<f64, OutOfRange> {
    within(
        kelvin,
        "temperature of liquid CO2",
        "K",
        216.592,
        CRITICAL_KELVIN,
    )
}

fn sum(terms: &[(f64, f64)], kelvin: f64) -> f64 {
    let tau = 1.0 - kelvin / CRITICAL_KELVIN;
    terms
        .iter()
        .map(|(factor, power)| factor * tau.powf(*power))
        .sum()
}
