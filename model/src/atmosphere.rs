//! The air pressure a site has.

use crate::published::standard_atmosphere;
use crate::{AbsolutePressure, Elevation, Error};

/// Mean air pressure at this elevation, for sites without a barometer.
///
/// Weather moves it by about 2 % either way; a barometer reading is better.
/// Standard atmosphere (ICAO, ISO 2533), see [`standard_atmosphere`].
///
/// # Errors
///
/// None for an [`Elevation`]; the signature allows for a wider formula range.
///
/// ```
/// use model::{Elevation, atmosphere};
///
/// let air = atmosphere::pressure_at(Elevation::of(1600.0))?;
/// assert!((air.kilopascals() - 83.53).abs() < 0.05);
/// # Ok::<(), model::Error>(())
/// ```
pub fn pressure_at(elevation: Elevation) -> Result<AbsolutePressure, Error> {
    let kilopascals = standard_atmosphere::pressure(elevation.metres())?;
    Ok(AbsolutePressure::from_kilopascals(kilopascals)?)
}
