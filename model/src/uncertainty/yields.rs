//! Drink that reaches glasses.

use super::budget::{Budget, Input, budget, plus_minus};
use crate::serving::{PourLosses, poured_volume};
use crate::{Error, Fraction, Volume};

const PRACTICE: &str = "common practice, no source";

/// A keg that is poured.
///
/// ```
/// use model::serving::PourLosses;
/// use model::uncertainty::PouredKeg;
/// use model::{Fraction, Volume};
///
/// let keg = PouredKeg {
///     liquid: Volume::of(18.5),
///     losses: PourLosses {
///         foam: Fraction::of(0.05),
///         line: Volume::of(0.2),
///         heel: Volume::of(0.2),
///     },
/// };
/// let budget = keg.budget()?;
/// assert!((budget.value - 17.2).abs() < 0.1 && budget.down() < 1.0);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PouredKeg {
    /// Liquid in the keg.
    pub liquid: Volume,
    /// What is lost on the way.
    pub losses: PourLosses,
}

impl PouredKeg {
    /// How far off what it yields may be.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] for more losses than a keg holds.
    ///
    /// See [`PouredKeg`] for an example.
    pub fn budget(&self) -> Result<Budget, Error> {
        let (foam, line, heel) = (
            self.losses.foam.value(),
            self.losses.line.litres(),
            self.losses.heel.litres(),
        );
        let inputs = [
            Input::new(
                "how full it was filled",
                plus_minus(self.liquid.litres(), 0.2),
                "±0.2 L",
                PRACTICE,
            ),
            Input::new(
                "foam that is thrown away",
                (foam, [(foam - 0.03).max(0.0), (foam + 0.03).min(1.0)]),
                "±3 % of the keg",
                PRACTICE,
            ),
            Input::new(
                "drink left in the line",
                (line, [(line - 0.1).max(0.0), line + 0.1]),
                "±0.1 L",
                PRACTICE,
            ),
            Input::new(
                "drink below the dip tube",
                (heel, [(heel - 0.1).max(0.0), heel + 0.1]),
                "±0.1 L",
                PRACTICE,
            ),
        ];
        let gives = ("drink that reaches glasses", "L");
        budget(gives, inputs, |[liquid, foam, line, heel]| {
            let losses = PourLosses {
                foam: Fraction::new(foam)?,
                line: Volume::new(line)?,
                heel: Volume::new(heel)?,
            };
            Ok(poured_volume(Volume::new(liquid.max(0.0))?, &losses)?.litres())
        })
    }
}
