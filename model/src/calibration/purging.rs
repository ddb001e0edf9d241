//! How much a purge really clears.

use super::Estimate;
use super::regression::{Prior, Row, Scatter, fit_one};
use crate::headspace::Purging;
use crate::{AbsolutePressure, Error, Fraction};

/// Headspace air found after purging.
///
/// See [`purges`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PurgeReading {
    /// How the keg was purged.
    pub purging: Purging,
    /// Share of the headspace air that was left.
    pub air_left: Fraction,
}

/// Effectiveness of purging: how many perfect purges one real purge is worth.
///
/// ln(air left) is effectiveness times count times ln(share a perfect purge
/// leaves). Readings without air left are left out. More than perfect is taken
/// as perfect. For use with [`Purging::as_done`]; covered are purge counts.
///
/// # Errors
///
/// [`Error::NotDetermined`] without a usable reading; [`Error::OutOfRange`]
/// for purges below the atmosphere.
///
/// ```
/// use model::headspace::Purging;
/// use model::{AbsolutePressure, Fraction, GaugePressure, calibration::{self, PurgeReading}};
///
/// let sea_level = AbsolutePressure::STANDARD_ATMOSPHERE;
/// let readings = [(1, 0.42), (3, 0.07)].map(|(count, left)| PurgeReading {
///     purging: Purging::prompt(count, GaugePressure::of(2.0)),
///     air_left: Fraction::of(left),
/// });
/// let worth = calibration::purges(&readings, sea_level, Fraction::ALL)?;
/// assert!(worth.value > Fraction::of(0.85) && worth.value < Fraction::of(0.97));
/// # Ok::<(), model::Error>(())
/// ```
pub fn purges(
    readings: &[PurgeReading],
    atmosphere: AbsolutePressure,
    theory: Fraction,
) -> Result<Estimate<Fraction>, Error> {
    for reading in readings {
        reading.purging.left_by_one(atmosphere)?;
    }
    let rows = readings.iter().filter_map(|reading| {
        let left = reading.air_left.value();
        let perfect = reading.purging.left_by_one(atmosphere).ok()?;
        let count = f64::from(reading.purging.count);
        let usable = left > 0.0 && perfect > 0.0;
        usable.then(|| Row {
            x: [count * perfect.ln()],
            y: left.ln(),
            at: count,
        })
    });
    let prior = Prior {
        values: [theory.value()],
        scatter: Scatter::Relative(0.3),
        what: "the effectiveness of purging",
        over: "number of purges",
    };
    fit_one(rows, &prior)?.map(|value| Ok(Fraction::new(value.clamp(0.0, 1.0))?))
}
