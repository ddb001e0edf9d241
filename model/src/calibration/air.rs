//! Air that heating really leaves.

use super::Estimate;
use super::regression::{Prior, Row, Scatter, fit_one};
use crate::{AirContent, Error, Factor};

/// Air, or oxygen alone, measured where the model gives a value.
///
/// See [`air_factor`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirReading {
    /// What the model says.
    pub modelled: AirContent,
    /// What the meter says, of the same gas.
    pub measured: AirContent,
}

/// Air measured over air modelled, through the origin: one factor for removal
/// (equilibrium is the least that can be left, so expect more than 1), one for
/// re-aeration. Covered are modelled contents, mg/L.
///
/// # Errors
///
/// [`Error::NotDetermined`] without readings; [`Error::OutOfRange`] for a
/// factor above 20.
///
/// ```
/// use model::{AirContent, Factor, calibration::{self, AirReading}};
///
/// let readings = [(1.5, 2.2), (1.0, 1.6)].map(|(modelled, measured)| AirReading {
///     modelled: AirContent::of(modelled),
///     measured: AirContent::of(measured),
/// });
/// let factor = calibration::air_factor(&readings, Factor::THEORY)?;
/// assert!(factor.value > Factor::of(1.1) && factor.value < Factor::of(1.5));
/// # Ok::<(), model::Error>(())
/// ```
pub fn air_factor(readings: &[AirReading], theory: Factor) -> Result<Estimate<Factor>, Error> {
    let rows = readings.iter().map(|reading| Row {
        x: [reading.modelled.milligrams_per_litre()],
        y: reading.measured.milligrams_per_litre(),
        at: reading.modelled.milligrams_per_litre(),
    });
    let prior = Prior {
        values: [theory.value()],
        scatter: Scatter::Relative(0.5),
        what: "the air factor",
        over: "modelled air content, mg/L",
    };
    fit_one(rows, &prior)?.map(|value| Ok(Factor::new(value.max(0.0))?))
}
