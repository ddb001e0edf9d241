//! Volumes of liquid and of containers.

use uom::si::f64::Volume as UomVolume;
use uom::si::volume::{fluid_ounce, gallon, liter};

use crate::OutOfRange;

crate::quantity! {
    /// Volume of a liquid, a gas or a container.
    ///
    /// ```
    /// assert_eq!(model::Volume::of(18.5).to_string(), "18.5 L");
    /// ```
    pub struct Volume("volume", "L", 0.0..=1000000.0, example 18.5, get litres)
}

impl Volume {
    /// From US gallons.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in litres) outside the range.
    ///
    /// ```
    /// let keg = model::Volume::from_us_gallons(5.0)?;
    /// assert!((keg.litres() - 18.927).abs() < 1e-3);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_us_gallons(value: f64) -> Result<Self, OutOfRange> {
        Self::new(UomVolume::new::<gallon>(value).get::<liter>())
    }

    /// In US gallons.
    ///
    /// ```
    /// assert!((model::Volume::of(18.927).us_gallons() - 5.0).abs() < 1e-3);
    /// ```
    #[must_use]
    pub fn us_gallons(self) -> f64 {
        UomVolume::new::<liter>(self.litres()).get::<gallon>()
    }

    /// From US fluid ounces.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in litres) outside the range.
    ///
    /// ```
    /// let glass = model::Volume::from_us_fluid_ounces(12.0)?;
    /// assert!((glass.litres() - 0.3549).abs() < 1e-4);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_us_fluid_ounces(value: f64) -> Result<Self, OutOfRange> {
        Self::new(UomVolume::new::<fluid_ounce>(value).get::<liter>())
    }
}
