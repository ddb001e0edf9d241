//! Diffusion of CO2 in water: Jähne, Heinz & Dietrich 1987, J. Geophys. Res. 92:10767.

use crate::OutOfRange;
use crate::constants::GAS_CONSTANT;
use crate::quantity::within;

/// Diffusion coefficient of CO2 in water, m²/s (coefficients from memory;
/// within 1 % of the handbook table, reference test).
///
/// # Errors
///
/// [`OutOfRange`] outside 272.15 to 313.15 K.
///
/// ```
/// assert!((model::published::jaehne::diffusivity(293.15)? / 1.67e-9 - 1.0).abs() < 0.01);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn diffusivity(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = within(kelvin, "temperature for CO2 diffusion", "K", 272.15, 313.15)?;
    Ok(5019e-9 * (-19_510.0 / (GAS_CONSTANT * t)).exp())
}
