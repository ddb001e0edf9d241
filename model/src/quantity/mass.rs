//! Masses of water, ice, steel, gas and chemicals.

use uom::si::f64::Mass as UomMass;
use uom::si::mass::{kilogram, pound};

use crate::OutOfRange;

crate::quantity! {
    /// Mass of water, ice, steel, gas or a chemical.
    ///
    /// ```
    /// let dose = model::Mass::from_grams(2.5)?;
    /// assert!((dose.kilograms() - 0.0025).abs() < 1e-12);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub struct Mass("mass", "kg", 0.0..=1000000.0, example 9.0, get kilograms)
}

impl Mass {
    /// From grams.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in kilograms) outside the range.
    ///
    /// ```
    /// assert!(model::Mass::from_grams(-1.0).is_err());
    /// ```
    pub fn from_grams(value: f64) -> Result<Self, OutOfRange> {
        Self::new(value / 1000.0)
    }

    /// In grams.
    ///
    /// ```
    /// assert!((model::Mass::of(0.295).grams() - 295.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn grams(self) -> f64 {
        self.kilograms() * 1000.0
    }

    /// From avoirdupois pounds.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in kilograms) outside the range.
    ///
    /// ```
    /// let cylinder = model::Mass::from_pounds(20.0)?;
    /// assert!((cylinder.kilograms() - 9.07).abs() < 0.01);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_pounds(value: f64) -> Result<Self, OutOfRange> {
        Self::new(UomMass::new::<pound>(value).get::<kilogram>())
    }

    /// In avoirdupois pounds.
    ///
    /// ```
    /// assert!((model::Mass::of(9.07).pounds() - 20.0).abs() < 0.01);
    /// ```
    #[must_use]
    pub fn pounds(self) -> f64 {
        UomMass::new::<kilogram>(self.kilograms()).get::<pound>()
    }
}
