//! Absolute and gauge pressure, which are never mixed up.

use uom::si::f64::Pressure;
use uom::si::pressure::{bar, inch_of_mercury_32, kilopascal, psi};

use crate::OutOfRange;

crate::quantity! {
    /// Pressure counted from vacuum: of the atmosphere, of a gas in a mixture,
    /// or in a keg.
    ///
    /// ```
    /// use model::AbsolutePressure;
    ///
    /// assert_eq!(AbsolutePressure::STANDARD_ATMOSPHERE.to_string(), "1.01325 bar");
    /// assert!(AbsolutePressure::new(-0.1).is_err());
    /// ```
    pub struct AbsolutePressure(
        "absolute pressure", "bar", 0.0..=100.0, example 3.01325, get bar
    )
}

crate::quantity! {
    /// Pressure above the surrounding atmosphere, as a regulator shows it.
    ///
    /// ```
    /// use model::{AbsolutePressure, GaugePressure};
    ///
    /// let keg = GaugePressure::of(2.0).absolute(AbsolutePressure::STANDARD_ATMOSPHERE)?;
    /// assert!((keg.bar() - 3.01325).abs() < 1e-12);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub struct GaugePressure("gauge pressure", "bar", -1.1..=98.0, example 2.0, get bar)
}

crate::quantity! {
    /// A difference between two pressures, or a gauge's offset.
    ///
    /// ```
    /// use model::{GaugePressure, PressureDifference};
    ///
    /// let shown = GaugePressure::of(2.1);
    /// let offset = PressureDifference::of(0.1);
    /// assert!((shown.corrected(offset)?.bar() - 2.0).abs() < 1e-12);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub struct PressureDifference(
        "pressure difference", "bar", -200.0..=200.0, example 0.1, get bar
    )
}

impl AbsolutePressure {
    /// One standard atmosphere, 101.325 kPa.
    pub const STANDARD_ATMOSPHERE: Self = Self::of(1.01325);
    /// No gas at all.
    pub const VACUUM: Self = Self::of(0.0);

    /// From kilopascals, as a barometer may show.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in bar) outside 0 to 10 000 kPa.
    ///
    /// ```
    /// let barometer = model::AbsolutePressure::from_kilopascals(83.5)?;
    /// assert!((barometer.bar() - 0.835).abs() < 1e-12);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_kilopascals(value: f64) -> Result<Self, OutOfRange> {
        Self::new(Pressure::new::<kilopascal>(value).get::<bar>())
    }

    /// In kilopascals.
    ///
    /// ```
    /// assert!((model::AbsolutePressure::of(1.0).kilopascals() - 100.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn kilopascals(self) -> f64 {
        Pressure::new::<bar>(self.bar()).get::<kilopascal>()
    }

    /// From inches of mercury at 0 °C (3.38638 kPa each), as a barometer may show.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in bar) outside 0 to 2953 inHg.
    ///
    /// ```
    /// let barometer = model::AbsolutePressure::from_inches_of_mercury(29.92)?;
    /// assert!((barometer.bar() - 1.0132).abs() < 1e-3);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_inches_of_mercury(value: f64) -> Result<Self, OutOfRange> {
        Self::new(Pressure::new::<inch_of_mercury_32>(value).get::<bar>())
    }

    /// What a gauge shows in this `atmosphere`; negative below it.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] when the difference leaves the range of a gauge.
    ///
    /// ```
    /// use model::AbsolutePressure;
    ///
    /// let gauge = AbsolutePressure::of(3.0).gauge(AbsolutePressure::of(0.8))?;
    /// assert!((gauge.bar() - 2.2).abs() < 1e-12);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn gauge(self, atmosphere: Self) -> Result<GaugePressure, OutOfRange> {
        GaugePressure::new(self.bar() - atmosphere.bar())
    }
}

impl GaugePressure {
    /// The absolute pressure behind this reading in this `atmosphere`.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] when the sum is below vacuum or above the range.
    ///
    /// ```
    /// use model::{AbsolutePressure, GaugePressure};
    ///
    /// assert!(GaugePressure::of(-1.0).absolute(AbsolutePressure::of(0.8)).is_err());
    /// ```
    pub fn absolute(self, atmosphere: AbsolutePressure) -> Result<AbsolutePressure, OutOfRange> {
        AbsolutePressure::new(self.bar() + atmosphere.bar())
    }

    /// The true pressure behind a reading of a gauge that shows `offset` too much.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] when the result leaves the range of a gauge.
    ///
    /// See [`PressureDifference`] for an example.
    pub fn corrected(self, offset: PressureDifference) -> Result<Self, OutOfRange> {
        Self::new(self.bar() - offset.bar())
    }

    /// From pounds per square inch (gauge).
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in bar) outside -16 to 1421 psi.
    ///
    /// ```
    /// let rating = model::GaugePressure::from_psi(130.0)?;
    /// assert!((rating.bar() - 8.963).abs() < 1e-3);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_psi(value: f64) -> Result<Self, OutOfRange> {
        Self::new(Pressure::new::<psi>(value).get::<bar>())
    }

    /// In pounds per square inch (gauge).
    ///
    /// ```
    /// assert!((model::GaugePressure::of(2.0).psi() - 29.0).abs() < 0.1);
    /// ```
    #[must_use]
    pub fn psi(self) -> f64 {
        Pressure::new::<bar>(self.bar()).get::<psi>()
    }
}
