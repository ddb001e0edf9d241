//! How far carbonic acid, and water itself, come apart into ions.

use crate::OutOfRange;
use crate::quantity::within;

/// First ionisation constant of dissolved CO2, on the scale of activities.
///
/// Plummer & Busenberg 1982, Geochim. Cosmochim. Acta 46:1011, for 0 to 90 °C
/// (coefficients from memory; within 0.002 in the logarithm of another
/// library's fit, library test).
///
/// # Errors
///
/// [`OutOfRange`] outside 272.15 to 363.15 K.
///
/// ```
/// // pK1 at 25 °C is 6.352.
/// let constant = model::published::ionisation::carbonic_acid(298.15)?;
/// assert!((constant.log10() + 6.352).abs() < 0.001);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn carbonic_acid(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = within(kelvin, "temperature for carbonic acid", "K", 272.15, 363.15)?;
    let logarithm =
        -356.3094 - 0.060_919_64 * t + 21_834.37 / t + 126.8339 * t.log10() - 1_684_915.0 / (t * t);
    Ok(10.0_f64.powf(logarithm))
}

/// Ion product of water. Millero 1979, Geochim. Cosmochim. Acta 43:1651, fresh
/// water (coefficients from memory; library test).
///
/// # Errors
///
/// [`OutOfRange`] outside 272.15 to 323.15 K.
///
/// ```
/// let product = model::published::ionisation::water(298.15)?;
/// assert!((product.log10() + 14.0).abs() < 0.01);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn water(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = within(kelvin, "temperature of water", "K", 272.15, 323.15)?;
    Ok((148.9802 - 13_847.26 / t - 23.6521 * t.ln()).exp())
}
