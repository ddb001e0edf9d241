//! Density of saturated steam: IAPWS SR1-86(1992), equation 3 (Wagner & Pruss
//! 1993, J. Phys. Chem. Ref. Data 22:783; coefficients from memory).

use crate::OutOfRange;
use crate::quantity::within;

const CRITICAL_KELVIN: f64 = 647.096;
const CRITICAL_DENSITY: f64 = 322.0;

/// Factors, and powers of 1 - T/Tc in sixths.
const TERMS: [(f64, f64); 6] = [
    (-2.031_502_40, 2.0),
    (-2.683_029_40, 4.0),
    (-5.386_264_92, 8.0),
    (-17.299_160_5, 18.0),
    (-44.758_658_1, 37.0),
    (-63.920_106_3, 71.0),
];

/// Density of steam in equilibrium with water, kg/m³, at a temperature in kelvin.
///
/// Published for 273.16 to 647.096 K; accepted from 268.15 K, where the
/// equation stays smooth.
///
/// # Errors
///
/// [`OutOfRange`] outside 268.15 to 647.096 K.
///
/// ```
/// // Printed check value at 373.1243 K (from memory): 0.597586 kg/m³.
/// let density = model::published::saturated_steam::density(373.1243)?;
/// assert!((density - 0.597586).abs() < 1e-6);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn density(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = within(
        kelvin,
        "saturation temperature",
        "K",
        268.15,
        CRITICAL_KELVIN,
    )?;
    let sixth = (1.0 - t / CRITICAL_KELVIN).sqrt().cbrt();
    let sum: f64 = TERMS
        .iter()
        .map(|(factor, power)| factor * sixth.powf(*power))
        .sum();
    Ok(CRITICAL_DENSITY * sum.exp())
}
