//! Free, combined and total chlorine.

use crate::{ChlorineResidual, Error};

/// Chlorine as a test strip or meter tells it apart, all as Cl2.
///
/// Free chlorine is hypochlorite; combined chlorine is chloramine, which some
/// waterworks use instead. Ascorbate takes up both, mole for mole; a strip for
/// free chlorine alone misses chloramine, so dose by the total.
///
/// ```
/// use model::{ChlorineResidual, dechlorination::Chlorine};
///
/// let water = Chlorine::new(ChlorineResidual::of(0.2), ChlorineResidual::of(2.2))?;
/// assert_eq!(water.total(), ChlorineResidual::of(2.2));
/// assert!(water.is_chloraminated()?);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chlorine {
    free: ChlorineResidual,
    total: ChlorineResidual,
}

impl Chlorine {
    /// From the free and the total chlorine measured.
    ///
    /// # Errors
    ///
    /// [`Error::NotPossible`] for more free than total chlorine.
    ///
    /// ```
    /// use model::{ChlorineResidual, dechlorination::Chlorine};
    ///
    /// assert!(Chlorine::new(ChlorineResidual::of(2.0), ChlorineResidual::of(1.0)).is_err());
    /// ```
    pub fn new(free: ChlorineResidual, total: ChlorineResidual) -> Result<Self, Error> {
        if free > total {
            return Err(Error::NotPossible {
                what: "free chlorine, mg/L",
                wanted: free.milligrams_per_litre(),
                lowest: 0.0,
                highest: total.milligrams_per_litre(),
            });
        }
        Ok(Self { free, total })
    }

    /// Everything to be neutralised. See [`Chlorine`] for an example.
    #[must_use]
    pub const fn total(&self) -> ChlorineResidual {
        self.total
    }

    /// Hypochlorite alone.
    ///
    /// ```
    /// use model::{ChlorineResidual, dechlorination::Chlorine};
    ///
    /// let water = Chlorine::new(ChlorineResidual::of(0.5), ChlorineResidual::of(0.6))?;
    /// assert_eq!(water.free(), ChlorineResidual::of(0.5));
    /// # Ok::<(), model::Error>(())
    /// ```
    #[must_use]
    pub const fn free(&self) -> ChlorineResidual {
        self.free
    }

    /// Chloramine: total less free.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] never: the total is at least the free chlorine.
    ///
    /// ```
    /// use model::{ChlorineResidual, dechlorination::Chlorine};
    ///
    /// let water = Chlorine::new(ChlorineResidual::of(0.5), ChlorineResidual::of(2.0))?;
    /// assert_eq!(water.combined()?, ChlorineResidual::of(1.5));
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn combined(&self) -> Result<ChlorineResidual, Error> {
        let difference = self.total.milligrams_per_litre() - self.free.milligrams_per_litre();
        Ok(ChlorineResidual::new(difference)?)
    }

    /// Whether most of it is chloramine, which reacts more slowly with
    /// ascorbate and passes quickly through ordinary carbon. How much more
    /// slowly depends on the water: wait and verify with a strip.
    ///
    /// # Errors
    ///
    /// As [`combined`](Self::combined). See [`Chlorine`] for an example.
    pub fn is_chloraminated(&self) -> Result<bool, Error> {
        Ok(self.combined()? > self.free)
    }
}
