//! Density of water: Kell 1975, J. Chem. Eng. Data 20:97 (coefficients from memory).
//!
//! Within 0.002 % of IAPWS-95 at one atmosphere (reference test).

use crate::OutOfRange;
use crate::quantity::within;

/// Density of liquid water at one atmosphere in kg/m³, at a temperature in °C.
///
/// # Errors
///
/// [`OutOfRange`] outside -5 to 150 °C.
///
/// ```
/// assert!((model::published::kell::density(4.0)? - 999.97).abs() < 0.01);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn density(celsius: f64) -> Result<f64, OutOfRange> {
    let t = within(celsius, "temperature of liquid water", "°C", -5.0, 150.0)?;
    let top = 999.839_52
        + t * (16.945_176
            + t * (-7.987_040_1e-3
                + t * (-46.170_461e-6 + t * (105.563_02e-9 + t * -280.542_53e-12))));
    Ok(top / (1.0 + 16.879_850e-3 * t))
}
