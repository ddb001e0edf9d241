//! A calibrated number, and how far it may be trusted.

use crate::Error;

/// A number found from readings.
///
/// ```
/// use model::{IceFactor, Mass, calibration::{self, IceReading}};
///
/// let readings = [
///     IceReading { theory: Mass::of(8.0), used: Mass::of(9.0) },
///     IceReading { theory: Mass::of(10.0), used: Mass::of(11.5) },
/// ];
/// let factor = calibration::ice_factor(&readings, IceFactor::of(1.1))?;
/// assert_eq!(factor.readings, 2);
/// assert!(factor.spread > 0.0);
/// // Good for 9 kg; a batch of 20 kg is beyond what was tried.
/// assert!(factor.used_at(9.0).is_ok());
/// assert!(factor.used_at(20.0).is_err());
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate<Q> {
    /// The estimate.
    pub value: Q,
    /// Its standard deviation, in the unit of the value.
    pub spread: f64,
    /// Readings it rests on, besides the theory value.
    pub readings: usize,
    /// What the readings varied, with its unit.
    pub over: &'static str,
    /// Lowest value of that among the readings.
    pub lowest: f64,
    /// Highest value of that among the readings.
    pub highest: f64,
}

impl<Q: Copy> Estimate<Q> {
    /// The estimate, for use at a value of what the readings varied.
    ///
    /// # Errors
    ///
    /// [`Error::NotPossible`] outside the range of the readings: an estimate is
    /// not extrapolated; use the theory value there.
    ///
    /// See [`Estimate`] for an example.
    pub fn used_at(&self, value: f64) -> Result<Q, Error> {
        if value >= self.lowest && value <= self.highest {
            Ok(self.value)
        } else {
            Err(Error::NotPossible {
                what: self.over,
                wanted: value,
                lowest: self.lowest,
                highest: self.highest,
            })
        }
    }

    /// The same estimate in another type.
    pub(crate) fn map<R>(
        self,
        convert: impl FnOnce(Q) -> Result<R, Error>,
    ) -> Result<Estimate<R>, Error> {
        Ok(Estimate {
            value: convert(self.value)?,
            spread: self.spread,
            readings: self.readings,
            over: self.over,
            lowest: self.lowest,
            highest: self.highest,
        })
    }
}
