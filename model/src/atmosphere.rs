//! The air pressure a site has.

use crate::published::standard_atmosphere;
use crate::quantity::within;
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

/// Air pressure at the site from a weather report, which is reduced to sea level.
///
/// A barometer that shows about 1013 hPa whatever the elevation gives such a
/// value; one read without reduction is the air pressure itself. The reduction
/// of the standard atmosphere is undone; weather services use the temperature
/// of the day too, which changes the result by 0.5 % at 1600 m.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside 0.8 to 1.1 bar, beyond any weather.
///
/// ```
/// use model::{AbsolutePressure, Elevation, atmosphere};
///
/// let report = AbsolutePressure::from_kilopascals(102.3)?;
/// let site = atmosphere::from_weather_report(report, Elevation::of(1600.0))?;
/// assert!((site.kilopascals() - 84.3).abs() < 0.1);
/// # Ok::<(), model::Error>(())
/// ```
pub fn from_weather_report(
    report: AbsolutePressure,
    elevation: Elevation,
) -> Result<AbsolutePressure, Error> {
    let bar = within(report.bar(), "air pressure at sea level", "bar", 0.8, 1.1)?;
    let sea_level = pressure_at(Elevation::of(0.0))?.bar();
    Ok(AbsolutePressure::new(
        bar * pressure_at(elevation)?.bar() / sea_level,
    )?)
}
