//! Ascorbate a site's water really needs.

use super::Estimate;
use super::regression::{Prior, Row, Scatter, fit_one};
use crate::{ChlorineResidual, Error, Factor, Mass};

/// Total chlorine left after dosing above which something is wrong.
pub const RESIDUAL_ALARM: ChlorineResidual = ChlorineResidual::of(0.1);

/// A batch of water brought to no chlorine by a strip test.
///
/// See [`dose_factor`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DoseReading {
    /// Dose by stoichiometry, without any overdose.
    pub theory: Mass,
    /// Dose it really took.
    pub used: Mass,
}

/// Dose used over dose by stoichiometry, through the origin; covered are
/// batches by their theoretical dose, g.
///
/// # Errors
///
/// [`Error::NotDetermined`] without readings; [`Error::OutOfRange`] for a
/// factor above 20.
///
/// ```
/// use model::{Factor, Mass, calibration::{self, DoseReading}};
///
/// let reading = DoseReading {
///     theory: Mass::from_grams(0.30)?,
///     used: Mass::from_grams(0.36)?,
/// };
/// let factor = calibration::dose_factor(&[reading], Factor::of(1.1))?;
/// assert!((factor.value.value() - (3.0 * 1.1 + 1.2) / 4.0).abs() < 1e-9);
/// # Ok::<(), model::Error>(())
/// ```
pub fn dose_factor(readings: &[DoseReading], theory: Factor) -> Result<Estimate<Factor>, Error> {
    let rows = readings.iter().map(|reading| Row {
        x: [reading.theory.grams()],
        y: reading.used.grams(),
        at: reading.theory.grams(),
    });
    let prior = Prior {
        values: [theory.value()],
        scatter: Scatter::Relative(0.2),
        what: "the dose factor",
        over: "dose by stoichiometry, g",
    };
    fit_one(rows, &prior)?.map(|value| Ok(Factor::new(value)?))
}
