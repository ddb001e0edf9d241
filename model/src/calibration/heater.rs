//! What a heater really puts into a pot, and what the pot loses.

use super::regression::{Prior, Row, Scatter, fit};
use super::{Estimate, TemperatureReading};
use crate::heating::Heater;
use crate::{Conductance, Error, Load, Power, Temperature};

/// A pot being heated.
///
/// See [`heater`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatingLog {
    /// Contents and steel.
    pub load: Load,
    /// Temperature of the room.
    pub room: Temperature,
}

/// What the readings say about heater and pot.
///
/// See [`heater`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeaterFit {
    /// Heat that reaches the pot: power times efficiency.
    pub gain: Estimate<Power>,
    /// Loss to the room per kelvin.
    pub loss: Estimate<Conductance>,
}

/// Heat input and loss that explain how a pot warmed.
///
/// Between two readings the mean heat flow is the gain less the loss at the
/// mean temperature. Covered are temperatures above the room, K. A loss that
/// comes out negative, as with noisy readings, is taken as none.
///
/// # Errors
///
/// [`Error::NotDetermined`] for fewer than three readings, or all at about the
/// same temperature; [`Error::OutOfRange`] for readings outside -1 to 110 °C or
/// a negative gain.
///
/// ```
/// use model::calibration::{self, HeatingLog, TemperatureReading};
/// use model::heating::Heater;
/// use model::{Conductance, Fraction, Load, Mass, Power, Temperature, TimeSpan, Volume};
///
/// let log = HeatingLog {
///     load: Load { liquid: Volume::of(30.0), steel: Mass::of(6.0) },
///     room: Temperature::of(20.0),
/// };
/// let readings = [(0.0, 15.0), (20.0, 42.0), (40.0, 67.0), (60.0, 89.0)].map(
///     |(minutes, celsius)| TemperatureReading {
///         time: TimeSpan::from_minutes(minutes).unwrap(),
///         temperature: Temperature::of(celsius),
///     },
/// );
/// let theory = Heater {
///     power: Power::of(3500.0),
///     efficiency: Fraction::of(0.85),
///     loss: Conductance::of(5.0),
///     room: Temperature::of(20.0),
/// };
/// let site = calibration::heater(&log, &readings, &theory)?;
/// assert!((site.gain.value.watts() - 2950.0).abs() < 100.0);
/// assert!(site.loss.value.watts_per_kelvin() > 3.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn heater(
    log: &HeatingLog,
    readings: &[TemperatureReading],
    theory: &Heater,
) -> Result<HeaterFit, Error> {
    for reading in readings {
        log.load.heat(reading.temperature)?;
    }
    let rows = readings.windows(2).filter_map(|pair| {
        let [before, after] = pair else { return None };
        let seconds = after.time.seconds() - before.time.seconds();
        let heat =
            log.load.heat(after.temperature).ok()? - log.load.heat(before.temperature).ok()?;
        let mean = f64::midpoint(before.temperature.celsius(), after.temperature.celsius());
        let above = mean - log.room.celsius();
        (seconds > 0.0).then(|| Row {
            x: [1.0, -above],
            y: heat / seconds,
            at: above,
        })
    });
    let prior = Prior {
        values: [
            theory.power.watts() * theory.efficiency.value(),
            theory.loss.watts_per_kelvin(),
        ],
        scatter: Scatter::Relative(0.3),
        what: "heat input and loss",
        over: "temperature above the room, K",
    };
    let [gain, loss] = fit(rows, &prior)?;
    Ok(HeaterFit {
        gain: gain.map(|value| Ok(Power::new(value)?))?,
        loss: loss.map(|value| Ok(Conductance::new(value.max(0.0))?))?,
    })
}
