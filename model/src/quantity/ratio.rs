//! Plain ratios.

crate::quantity! {
    /// A part of a whole: an efficiency, a loss, a removal, an emissivity.
    ///
    /// ```
    /// assert!(model::Fraction::new(1.5).is_err());
    /// ```
    pub struct Fraction("fraction", "", 0.0..=1.0, example 0.85, get value)
}

crate::quantity! {
    /// Ice really used over ice needed by theory: meltwater clinging to the
    /// ice and heat from the room make it more than 1, heat lost by a hot pot
    /// less. Wet ice gives 1.05 to 1.15 (engineering estimate).
    ///
    /// ```
    /// assert!((model::IceFactor::DRY.value() - 1.0).abs() < 1e-12);
    /// ```
    pub struct IceFactor("ice factor", "", 0.5..=3.0, example 1.1, get value)
}

crate::quantity! {
    /// Measured over calculated, of something a site finds by calibration.
    ///
    /// ```
    /// assert!((model::Factor::THEORY.value() - 1.0).abs() < 1e-12);
    /// ```
    pub struct Factor("factor", "", 0.0..=20.0, example 1.1, get value)
}

impl Factor {
    /// Measured as calculated.
    pub const THEORY: Self = Self::of(1.0);
}

impl Fraction {
    /// Nothing.
    pub const NONE: Self = Self::of(0.0);
    /// Everything.
    pub const ALL: Self = Self::of(1.0);

    /// What is left of the whole.
    ///
    /// ```
    /// assert_eq!(model::Fraction::of(0.25).rest(), model::Fraction::of(0.75));
    /// ```
    #[must_use]
    pub const fn rest(self) -> Self {
        Self(1.0 - self.value())
    }
}

impl IceFactor {
    /// Dry ice-cold ice and no heat from the room: theory.
    pub const DRY: Self = Self::of(1.0);
}

impl From<Fraction> for Factor {
    /// Every part of a whole is a factor.
    fn from(part: Fraction) -> Self {
        Self(part.value())
    }
}

impl From<IceFactor> for Factor {
    /// Every ice factor is a factor.
    fn from(ice: IceFactor) -> Self {
        Self(ice.value())
    }
}
