//! How fast a method, or a person, carbonates.

use super::Estimate;
use super::regression::{Prior, Row, Scatter, fit_one};
use crate::{Carbonation, Error, MassTransfer, TimeSpan};

/// CO2 content at a time after the start.
///
/// See [`mass_transfer`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ContentReading {
    /// Time since the start.
    pub time: TimeSpan,
    /// Content then.
    pub content: Carbonation,
}

/// Mass-transfer coefficient of shaking or a stone that explains the readings.
///
/// The slope of ln[(C* - C)/(C* - C0)] over time is -kLa. Readings that have
/// closed more than 98 % of the gap, or lie outside it, are left out: there an
/// error of the reading decides. Covered is the share of the gap closed.
///
/// # Errors
///
/// [`Error::NotDetermined`] without a usable reading.
///
/// ```
/// use model::calibration::{self, ContentReading};
/// use model::{Carbonation, TimeSpan, kinetics::SHAKEN};
///
/// let readings = [(60.0, 2.9), (120.0, 4.9), (240.0, 7.2)].map(|(seconds, content)| {
///     ContentReading { time: TimeSpan::of(seconds), content: Carbonation::of(content) }
/// });
/// let site = calibration::mass_transfer(
///     &readings,
///     Carbonation::NONE,
///     Carbonation::of(9.1),
///     SHAKEN.typical(),
/// )?;
/// assert!((site.value.per_second() - 0.0065).abs() < 0.0005);
/// # Ok::<(), model::Error>(())
/// ```
pub fn mass_transfer(
    readings: &[ContentReading],
    start: Carbonation,
    equilibrium: Carbonation,
    theory: MassTransfer,
) -> Result<Estimate<MassTransfer>, Error> {
    let gap = equilibrium.grams_per_litre() - start.grams_per_litre();
    let rows = readings.iter().filter_map(|reading| {
        let left = (equilibrium.grams_per_litre() - reading.content.grams_per_litre()) / gap;
        let usable = gap > 0.0 && left > 0.02 && left <= 1.0;
        usable.then(|| Row {
            x: [-reading.time.seconds()],
            y: left.ln(),
            at: 1.0 - left,
        })
    });
    let prior = Prior {
        values: [theory.per_second()],
        scatter: Scatter::Relative(1.0),
        what: "the mass-transfer coefficient",
        over: "share of the gap closed",
    };
    fit_one(rows, &prior)?.map(|value| Ok(MassTransfer::new(value)?))
}
