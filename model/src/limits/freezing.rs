//! Drinks that freeze in too cold a store.

use super::verdict::{Evidence, Limit, Verdict};
use crate::{Error, SugarContent, Temperature};

/// Temperature at which a drink begins to freeze, without counting on the CO2
/// in it, which lowers it by 0.04 K for each g/L (1.86 K kg/mol) until it
/// escapes.
///
/// A quadratic through handbook values for sucrose held from memory: -0.29,
/// -0.63 and -1.03 °C at 5, 10 and 15 °Bx.
///
/// # Errors
///
/// [`Error::OutOfRange`] never for quantities in range.
///
/// ```
/// use model::{SugarContent, limits};
///
/// let soda = limits::freezing_point(SugarContent::of(10.0))?;
/// assert!((soda.celsius() + 0.63).abs() < 0.02);
/// # Ok::<(), model::Error>(())
/// ```
pub fn freezing_point(sugar: SugarContent) -> Result<Temperature, Error> {
    let brix = sugar.brix();
    // Through -0.63 at 10 and -1.03 at 15; -0.283 at 5.
    Ok(Temperature::new(-brix * (0.051_67 + 0.001_133 * brix))?)
}

/// Whether a drink left long enough in this air would freeze.
///
/// # Errors
///
/// [`Error::OutOfRange`] never for quantities in range.
///
/// ```
/// use model::{SugarContent, Temperature, limits};
///
/// let water = SugarContent::of(0.0);
/// assert!(limits::cold_enough_to_freeze(Temperature::of(-1.0), water)?);
/// assert!(!limits::cold_enough_to_freeze(Temperature::of(1.0), water)?);
/// # Ok::<(), model::Error>(())
/// ```
pub fn cold_enough_to_freeze(air: Temperature, sugar: SugarContent) -> Result<bool, Error> {
    Ok(air < freezing_point(sugar)?)
}

/// How far the air of a store is below the freezing point of a drink: the
/// margin is negative where it would freeze if left long enough.
///
/// # Errors
///
/// [`Error::OutOfRange`] never for quantities in range.
///
/// ```
/// use model::{SugarContent, Temperature, limits};
///
/// let verdict = limits::freezing(Temperature::of(1.0), SugarContent::of(0.0))?;
/// assert!(verdict.accepted);
/// assert!((verdict.margin - 1.0).abs() < 1e-9);
/// # Ok::<(), model::Error>(())
/// ```
pub fn freezing(air: Temperature, sugar: SugarContent) -> Result<Verdict, Error> {
    let limit = Limit {
        what: "air below the freezing point of the drink",
        value: 0.0,
        unit: "K",
        source: "handbook values for sucrose solutions",
        evidence: Evidence::FromMemory,
    };
    Ok(limit.judge((freezing_point(sugar)? - air).kelvins()))
}
