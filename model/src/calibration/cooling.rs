//! Conductance of a place in a cold store, or of an ice bath.

use super::Estimate;
use super::regression::{Prior, Row, Scatter, fit_one};
use crate::{Conductance, Error, Load, Temperature, TimeSpan};

/// A temperature read at a time after the first reading.
///
/// See [`conductance`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TemperatureReading {
    /// Time since the start.
    pub time: TimeSpan,
    /// Temperature then.
    pub temperature: Temperature,
}

/// What cooled, and in what.
///
/// See [`conductance`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoolingLog {
    /// Contents and steel.
    pub load: Load,
    /// Air or bath, constant over the log.
    pub surroundings: Temperature,
    /// Temperature at the start.
    pub start: Temperature,
}

/// Readings this close to the surroundings say nothing, K.
const TOO_CLOSE: f64 = 1.0;

/// Conductance that explains how a load cooled.
///
/// Newton's law: the slope of ln[(T - Ta)/(T0 - Ta)] over time is -UA/C.
/// Readings within 1 K of the surroundings are left out. For use with
/// [`crate::ice_bath::time`] and [`crate::ice_bath::after`], which are the
/// same law, with air as the bath; covered are temperatures above the
/// surroundings, K.
///
/// # Errors
///
/// [`Error::NotDetermined`] without a usable reading; [`Error::OutOfRange`]
/// for a start outside -1 to 110 °C or a negative conductance.
///
/// ```
/// use model::calibration::{self, CoolingLog, TemperatureReading};
/// use model::{Conductance, Load, Mass, Temperature, TimeSpan, Volume};
///
/// let log = CoolingLog {
///     load: Load { liquid: Volume::of(18.5), steel: Mass::of(4.2) },
///     surroundings: Temperature::of(2.0),
///     start: Temperature::of(40.0),
/// };
/// let readings = [(6.0, 27.0), (12.0, 18.7), (24.0, 9.3)].map(|(hours, celsius)| {
///     TemperatureReading {
///         time: TimeSpan::from_hours(hours).unwrap(),
///         temperature: Temperature::of(celsius),
///     }
/// });
/// let site = calibration::conductance(&log, &readings, Conductance::of(2.0))?;
/// assert!(site.value.watts_per_kelvin() > 1.4 && site.value.watts_per_kelvin() < 2.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn conductance(
    log: &CoolingLog,
    readings: &[TemperatureReading],
    theory: Conductance,
) -> Result<Estimate<Conductance>, Error> {
    crate::load::liquid_celsius(log.start.celsius())?;
    let start = (log.start - log.surroundings).kelvins();
    let rows = readings.iter().filter_map(|reading| {
        let now = (reading.temperature - log.surroundings).kelvins();
        let usable = now.abs() >= TOO_CLOSE && start.abs() >= TOO_CLOSE && now * start > 0.0;
        let middle = f64::midpoint(log.start.celsius(), reading.temperature.celsius());
        usable.then(|| Row {
            x: [-reading.time.seconds() / log.load.capacity(middle)],
            y: (now / start).ln(),
            at: now.abs(),
        })
    });
    let prior = Prior {
        values: [theory.watts_per_kelvin()],
        scatter: Scatter::Relative(0.5),
        what: "the conductance",
        over: "temperature above the surroundings, K",
    };
    fit_one(rows, &prior)?.map(|value| Ok(Conductance::new(value)?))
}
