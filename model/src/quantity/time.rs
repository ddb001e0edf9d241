//! How long something lasts. Instants belong to whoever owns a clock.

use crate::OutOfRange;

crate::quantity! {
    /// A span of time, up to about thirty years.
    ///
    /// ```
    /// use model::TimeSpan;
    ///
    /// assert_eq!(TimeSpan::from_minutes(90.0)?, TimeSpan::from_hours(1.5)?);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub struct TimeSpan("time span", "s", 0.0..=1000000000.0, example 3600.0, get seconds)
}

impl TimeSpan {
    /// No time at all.
    pub const ZERO: Self = Self::of(0.0);

    /// From minutes.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in seconds) outside the range.
    ///
    /// ```
    /// assert!((model::TimeSpan::from_minutes(1.0)?.seconds() - 60.0).abs() < 1e-12);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_minutes(value: f64) -> Result<Self, OutOfRange> {
        Self::new(value * 60.0)
    }

    /// From hours.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in seconds) outside the range.
    ///
    /// ```
    /// assert!((model::TimeSpan::from_hours(1.0)?.seconds() - 3600.0).abs() < 1e-12);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_hours(value: f64) -> Result<Self, OutOfRange> {
        Self::new(value * 3600.0)
    }

    /// In minutes.
    ///
    /// ```
    /// assert!((model::TimeSpan::of(90.0).minutes() - 1.5).abs() < 1e-12);
    /// ```
    #[must_use]
    pub const fn minutes(self) -> f64 {
        self.seconds() / 60.0
    }

    /// In hours.
    ///
    /// ```
    /// assert!((model::TimeSpan::of(5400.0).hours() - 1.5).abs() < 1e-12);
    /// ```
    #[must_use]
    pub const fn hours(self) -> f64 {
        self.seconds() / 3600.0
    }
}
