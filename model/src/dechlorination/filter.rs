//! A carbon filter instead of ascorbate, as far as physics goes.

use crate::limits::{Caution, Evidence};
use crate::{ChlorineResidual, Error, Fraction, TimeSpan, Volume, WaterFlow};

/// What ordinary carbon lets through.
pub const CHLORAMINE_PASSES: Caution = Caution {
    when: "the main holds chloramine",
    says: "ordinary carbon lets it pass: use a rating that names chloramine, and verify with a strip",
    source: "water-treatment practice",
    evidence: Evidence::FromMemory,
};

/// An activated-carbon filter with the rating printed on it.
///
/// Physics gives the contact time and the chlorine passed so far. How long a
/// bed lasts and how much contact it needs is *not* physics: it depends on the
/// carbon, its grain and the water. The rating of the maker is therefore an
/// input. A rating for free chlorine says nothing about chloramine, which
/// needs catalytic carbon and several times the contact; use a rating that
/// names chloramine, and verify with a strip.
///
/// ```
/// use model::{ChlorineResidual, TimeSpan, Volume, WaterFlow, dechlorination::CarbonFilter};
///
/// let filter = CarbonFilter {
///     bed: Volume::of(1.0),
///     rated_volume: Volume::of(6000.0),
///     rated_chlorine: ChlorineResidual::of(2.0),
/// };
/// let contact = filter.contact_time(WaterFlow::of(2.0))?;
/// assert_eq!(contact, TimeSpan::of(30.0));
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CarbonFilter {
    /// Volume of the carbon bed.
    pub bed: Volume,
    /// Water it is rated for.
    pub rated_volume: Volume,
    /// Chlorine in the water it is rated with.
    pub rated_chlorine: ChlorineResidual,
}

impl CarbonFilter {
    /// Empty-bed contact time: bed volume over flow.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] beyond thirty years, as without flow.
    ///
    /// See [`CarbonFilter`] for an example.
    pub fn contact_time(&self, flow: WaterFlow) -> Result<TimeSpan, Error> {
        Ok(TimeSpan::from_minutes(
            self.bed.litres() / flow.litres_per_minute(),
        )?)
    }

    /// Water of this chlorine content that exhausts the rating.
    ///
    /// Scaled by the mass of chlorine, which holds while the contact time is
    /// no shorter than in the rating.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] for chlorine-free water, which exhausts nothing.
    ///
    /// ```
    /// use model::{ChlorineResidual, Volume, dechlorination::CarbonFilter};
    ///
    /// let filter = CarbonFilter {
    ///     bed: Volume::of(1.0),
    ///     rated_volume: Volume::of(6000.0),
    ///     rated_chlorine: ChlorineResidual::of(2.0),
    /// };
    /// assert_eq!(filter.lasts_for(ChlorineResidual::of(4.0))?, Volume::of(3000.0));
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn lasts_for(&self, chlorine: ChlorineResidual) -> Result<Volume, Error> {
        let rated = self.rated_volume.litres() * self.rated_chlorine.milligrams_per_litre();
        Ok(Volume::new(rated / chlorine.milligrams_per_litre())?)
    }

    /// Share of the rating used up by this much water, all of it at the most;
    /// a filter without a rating counts as used up.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] never for quantities in range.
    ///
    /// ```
    /// use model::{ChlorineResidual, Fraction, Volume, dechlorination::CarbonFilter};
    ///
    /// let filter = CarbonFilter {
    ///     bed: Volume::of(1.0),
    ///     rated_volume: Volume::of(6000.0),
    ///     rated_chlorine: ChlorineResidual::of(2.0),
    /// };
    /// let used = filter.used_up(Volume::of(1500.0), ChlorineResidual::of(4.0))?;
    /// assert_eq!(used, Fraction::of(0.5));
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn used_up(&self, passed: Volume, chlorine: ChlorineResidual) -> Result<Fraction, Error> {
        let rated = self.rated_volume.litres() * self.rated_chlorine.milligrams_per_litre();
        let share = passed.litres() * chlorine.milligrams_per_litre() / rated;
        Ok(Fraction::new(share.min(1.0))?)
    }
}
