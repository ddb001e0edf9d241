//! The standard atmosphere: ICAO Doc 7488, ISO 2533, U.S. Standard Atmosphere 1976.

use crate::OutOfRange;
use crate::quantity::within;

/// Radius that turns geometric into geopotential height, m.
const EARTH_RADIUS: f64 = 6_356_766.0;

/// Pressure in kPa at a geometric height in metres above sea level.
///
/// # Errors
///
/// [`OutOfRange`] outside -5000 to 11 000 m.
///
/// ```
/// assert!((model::published::standard_atmosphere::pressure(1000.0)? - 89.876).abs() < 0.01);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn pressure(metres: f64) -> Result<f64, OutOfRange> {
    let z = within(metres, "height", "m", -5000.0, 11_000.0)?;
    let geopotential = EARTH_RADIUS * z / (EARTH_RADIUS + z);
    Ok(101.325 * (1.0 - 0.0065 * geopotential / 288.15).powf(5.255_877))
}
