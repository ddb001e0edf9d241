//! Offsets of gauges and thermometers.

use super::Estimate;
use super::regression::{Prior, Row, Scatter, fit_one};
use crate::{Error, GaugePressure, PressureDifference, Temperature, TemperatureDifference};

/// What a gauge shows too much, from pairs of its reading and a reference's.
/// Covered are true pressures, bar.
///
/// Theory says no offset, with a spread of 0.1 bar (a cheap gauge).
///
/// # Errors
///
/// [`Error::NotDetermined`] without readings.
///
/// ```
/// use model::{GaugePressure, calibration};
///
/// let pairs = [(2.2, 2.0), (3.2, 3.0), (1.2, 1.0)]
///     .map(|(shown, real)| (GaugePressure::of(shown), GaugePressure::of(real)));
/// let offset = calibration::gauge_offset(&pairs)?;
/// // Three readings and a theory worth three: half way.
/// assert!((offset.value.bar() - 0.1).abs() < 1e-9);
/// # Ok::<(), model::Error>(())
/// ```
pub fn gauge_offset(
    pairs: &[(GaugePressure, GaugePressure)],
) -> Result<Estimate<PressureDifference>, Error> {
    let rows = pairs.iter().map(|(shown, real)| Row {
        x: [1.0],
        y: shown.bar() - real.bar(),
        at: real.bar(),
    });
    let prior = offset("the offset of a gauge", "true pressure, bar", 0.1);
    fit_one(rows, &prior)?.map(|value| Ok(PressureDifference::new(value)?))
}

/// What a thermometer shows too much, from pairs of its reading and the true
/// temperature, as in melting ice. Covered are true temperatures, °C.
///
/// Theory says no offset, with a spread of 0.5 K.
///
/// # Errors
///
/// [`Error::NotDetermined`] without readings.
///
/// ```
/// use model::{Temperature, calibration};
///
/// let in_ice = (Temperature::of(1.0), Temperature::FREEZING);
/// let offset = calibration::thermometer_offset(&[in_ice])?;
/// assert!((offset.value.kelvins() - 0.25).abs() < 1e-9);
/// // One reading at 0 °C says nothing about 60 °C.
/// assert!(offset.used_at(60.0).is_err());
/// # Ok::<(), model::Error>(())
/// ```
pub fn thermometer_offset(
    pairs: &[(Temperature, Temperature)],
) -> Result<Estimate<TemperatureDifference>, Error> {
    let rows = pairs.iter().map(|(shown, real)| Row {
        x: [1.0],
        y: (*shown - *real).kelvins(),
        at: real.celsius(),
    });
    let prior = offset("the offset of a thermometer", "true temperature, °C", 0.5);
    fit_one(rows, &prior)?.map(|value| Ok(TemperatureDifference::new(value)?))
}

fn offset(what: &'static str, over: &'static str, scatter: f64) -> Prior<1> {
    Prior {
        values: [0.0],
        scatter: Scatter::Absolute(scatter),
        what,
        over,
    }
}
