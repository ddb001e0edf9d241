//! Purging: pressurise with CO2, vent to the atmosphere, repeat.

use crate::quantity::within;
use crate::{AbsolutePressure, Error, Fraction, GaugePressure};

/// Whether the dissolved air can follow between purges.
///
/// ```
/// assert_ne!(model::headspace::Mixing::Prompt, model::headspace::Mixing::Reequilibrated);
/// ```
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Mixing {
    /// One purge right after the other: only the headspace is cleared.
    Prompt,
    /// Shaken after each purge until headspace and liquid agree again, so that
    /// later purges also clear air that was dissolved.
    Reequilibrated,
}

/// How a keg is purged.
///
/// ```
/// use model::{GaugePressure, headspace::Purging};
///
/// assert_eq!(Purging::NONE.count, 0);
/// assert!(Purging::prompt(3, GaugePressure::of(2.0)).count > Purging::NONE.count);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Purging {
    /// Pressure before each vent.
    pub gauge: GaugePressure,
    /// How often.
    pub count: u32,
    /// What happens between two purges.
    pub mixing: Mixing,
}

impl Purging {
    /// No purge at all.
    pub const NONE: Self = Self {
        gauge: GaugePressure::of(0.0),
        count: 0,
        mixing: Mixing::Prompt,
    };

    /// `count` purges from this pressure, one right after the other.
    ///
    /// See [`Purging`] for an example.
    #[must_use]
    pub const fn prompt(count: u32, gauge: GaugePressure) -> Self {
        Self {
            gauge,
            count,
            mixing: Mixing::Prompt,
        }
    }

    /// `count` purges from this pressure, shaken in between.
    ///
    /// ```
    /// use model::{GaugePressure, headspace::{Mixing, Purging}};
    ///
    /// let shaken = Purging::reequilibrated(3, GaugePressure::of(2.0));
    /// assert_eq!(shaken.mixing, Mixing::Reequilibrated);
    /// ```
    #[must_use]
    pub const fn reequilibrated(count: u32, gauge: GaugePressure) -> Self {
        Self {
            gauge,
            count,
            mixing: Mixing::Reequilibrated,
        }
    }

    /// Share of the headspace air that one purge leaves: vented over high
    /// pressure, both absolute, with perfect mixing of the gas.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] for a purge below the atmosphere.
    ///
    /// ```
    /// use model::{AbsolutePressure, GaugePressure, headspace::Purging};
    ///
    /// let purging = Purging::prompt(1, GaugePressure::of(2.0));
    /// let left = purging.left_by_one(AbsolutePressure::STANDARD_ATMOSPHERE)?;
    /// assert!((left - 1.01325 / 3.01325).abs() < 1e-12);
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn left_by_one(&self, atmosphere: AbsolutePressure) -> Result<f64, Error> {
        let gauge = within(
            self.gauge.bar(),
            "purge pressure",
            "bar",
            0.0,
            GaugePressure::MAX,
        )?;
        let high = atmosphere.bar() + gauge;
        Ok(if high > 0.0 {
            atmosphere.bar() / high
        } else {
            1.0
        })
    }

    /// The same purges as this site really does them: `count` purges with the
    /// effect of `effectiveness` times as many perfect ones, as found by
    /// [`crate::calibration::purges`].
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] for a purge below the atmosphere.
    ///
    /// ```
    /// use model::{AbsolutePressure, Fraction, GaugePressure, headspace::Purging};
    ///
    /// let sea_level = AbsolutePressure::STANDARD_ATMOSPHERE;
    /// let four = Purging::prompt(4, GaugePressure::of(2.0));
    /// let really = four.as_done(Fraction::of(0.5), sea_level)?;
    /// let (half, whole) = (really.left_by_one(sea_level)?, four.left_by_one(sea_level)?);
    /// assert!((half.powi(4) - whole.powi(2)).abs() < 1e-12);
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn as_done(
        self,
        effectiveness: Fraction,
        atmosphere: AbsolutePressure,
    ) -> Result<Self, Error> {
        let kept = self.left_by_one(atmosphere)?.powf(effectiveness.value());
        // A purge from a lower pressure that leaves just this share. In a
        // vacuum a purge leaves nothing at any pressure.
        let gauge = if kept > 0.0 {
            atmosphere.bar() * (1.0 / kept - 1.0)
        } else {
            0.0
        };
        Ok(Self {
            gauge: GaugePressure::new(gauge.max(0.0))?,
            ..self
        })
    }
}
