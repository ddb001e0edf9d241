//! Vapour pressure of CO2: Span & Wagner 1996, J. Phys. Chem. Ref. Data 25:1509,
//! ancillary equation 3.13 (coefficients from memory).

use crate::OutOfRange;
use crate::quantity::within;

const CRITICAL_KELVIN: f64 = 304.1282;
const CRITICAL_BAR: f64 = 73.773;

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
    let t = within(
        kelvin,
        "temperature of liquid CO2",
        "K",
        216.592,
        CRITICAL_KELVIN,
    )?;
    let tau = 1.0 - t / CRITICAL_KELVIN;
    let sum = -7.060_208_7 * tau + 1.939_121_8 * tau.powf(1.5)
        - 1.646_359_7 * tau * tau
        - 3.299_563_4 * tau.powi(4);
    Ok(CRITICAL_BAR * (sum * CRITICAL_KELVIN / t).exp())
}
