//! Litres a keg really gives.

use crate::quantity::within;
use crate::{Error, Fraction, Volume};

/// What is lost between keg and glass: inputs, from the site's own records.
///
/// ```
/// use model::{Fraction, serving::PourLosses, Volume};
///
/// // Common practice, no source.
/// assert_eq!(PourLosses::COMMON_PRACTICE.foam, Fraction::of(0.05));
/// assert_eq!(PourLosses::COMMON_PRACTICE.line, Volume::of(0.2));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PourLosses {
    /// Share of what leaves the tap that is thrown away as foam.
    pub foam: Fraction,
    /// Liquid left in the line when the keg is changed.
    pub line: Volume,
    /// Liquid the dip tube does not reach.
    pub heel: Volume,
}

impl PourLosses {
    /// Common practice, no source: 5 % foam, 0.2 L in the line, 0.2 L left in
    /// the keg.
    pub const COMMON_PRACTICE: Self = Self {
        foam: Fraction::of(0.05),
        line: Volume::of(0.2),
        heel: Volume::of(0.2),
    };
}

/// Litres of drink that reach glasses from a keg of `liquid`; none when the
/// losses are larger.
///
/// # Errors
///
/// [`Error::OutOfRange`] never for quantities in range.
///
/// ```
/// use model::{Volume, serving::{self, PourLosses}};
///
/// let yields = serving::poured_volume(Volume::of(18.5), &PourLosses::COMMON_PRACTICE)?;
/// assert!((yields.litres() - 17.2).abs() < 0.1);
/// # Ok::<(), model::Error>(())
/// ```
pub fn poured_volume(liquid: Volume, losses: &PourLosses) -> Result<Volume, Error> {
    let reached = (liquid.litres() - losses.line.litres() - losses.heel.litres()).max(0.0);
    Ok(Volume::new(reached * losses.foam.rest().value())?)
}

/// Whole servings in a keg, each of a given volume of drink (without its ice).
///
/// # Errors
///
/// [`Error::OutOfRange`] for servings of less than a millilitre.
///
/// ```
/// use model::{Volume, serving::{self, PourLosses}};
///
/// let glass = Volume::of(0.25);
/// let glasses = serving::servings(Volume::of(18.5), &PourLosses::COMMON_PRACTICE, glass)?;
/// assert_eq!(glasses, 68);
/// # Ok::<(), model::Error>(())
/// ```
pub fn servings(liquid: Volume, losses: &PourLosses, each: Volume) -> Result<u32, Error> {
    let serving = within(each.litres(), "serving", "L", 0.001, Volume::MAX)?;
    let count = (poured_volume(liquid, losses)?.litres() / serving + 1e-9).floor();
    Ok(count.min(f64::from(u32::MAX)) as u32)
}
