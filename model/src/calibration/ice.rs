//! Ice a site really uses.

use super::Estimate;
use super::regression::{Prior, Row, Scatter, fit_one};
use crate::{Error, IceFactor, Mass};

/// One batch cooled with ice.
///
/// See [`Estimate`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IceReading {
    /// Ice that theory asked for, with a factor of 1.
    pub theory: Mass,
    /// Ice really used to get there.
    pub used: Mass,
}

/// Ice used over ice needed by theory, through the origin; covered are
/// batches by their theoretical ice, kg.
///
/// # Errors
///
/// [`Error::NotDetermined`] without readings; [`Error::OutOfRange`] for a
/// factor outside 0.5 to 3.
///
/// See [`Estimate`] for an example.
pub fn ice_factor(
    readings: &[IceReading],
    theory: IceFactor,
) -> Result<Estimate<IceFactor>, Error> {
    let rows = readings.iter().map(|reading| Row {
        x: [reading.theory.kilograms()],
        y: reading.used.kilograms(),
        at: reading.theory.kilograms(),
    });
    let prior = Prior {
        values: [theory.value()],
        scatter: Scatter::Relative(0.1),
        what: "the ice factor",
        over: "ice needed by theory, kg",
    };
    fit_one(rows, &prior)?.map(|value| Ok(IceFactor::new(value)?))
}
