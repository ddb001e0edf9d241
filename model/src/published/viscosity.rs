//! Viscosity of water: IAPWS 2008 supplementary release on liquid water at
//! 0.1 MPa (coefficients from memory).

use crate::OutOfRange;
use crate::quantity::within;

/// Dynamic viscosity of liquid water at 0.1 MPa, Pa s.
///
/// # Errors
///
/// [`OutOfRange`] outside 253.15 to 383.15 K.
///
/// ```
/// // 1.0016 mPa s at 20 °C (from memory).
/// let viscosity = model::published::viscosity::water(293.15)?;
/// assert!((viscosity / 1.0016e-3 - 1.0).abs() < 1e-3);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn water(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = within(kelvin, "temperature of liquid water", "K", 253.15, 383.15)? / 300.0;
    let micro = 280.68 * t.powf(-1.9)
        + 511.45 * t.powf(-7.7)
        + 61.131 * t.powf(-19.6)
        + 0.459_03 * t.powf(-40.0);
    Ok(micro * 1e-6)
}
