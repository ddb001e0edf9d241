//! The air pressure of a site, from what its inputs say.

use model::inputs::Barometer;
use model::{AbsolutePressure, Elevation, atmosphere};

use super::refused::Refused;

/// Air pressure by barometer or elevation, and that of the standard at sea level without either.
pub(super) fn air_pressure(
    elevation: Option<Elevation>,
    barometer: Option<Barometer>,
) -> Result<AbsolutePressure, Refused> {
    match (elevation, barometer) {
        (Some(_), Some(_)) => Err(Refused::fields(
            &["barometer_hpa"],
            "found together with elevation_m; one of the two is allowed",
        )),
        (None, Some(read)) => Ok(read.into()),
        (Some(height), None) => Ok(atmosphere::pressure_at(height)?),
        (None, None) => Ok(AbsolutePressure::STANDARD_ATMOSPHERE),
    }
}
