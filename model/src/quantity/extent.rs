//! Sizes, heights and the speed of air.

use uom::si::f64::Length as UomLength;
use uom::si::length::{foot, meter};

use crate::OutOfRange;

crate::quantity! {
    /// Height of the site above sea level.
    ///
    /// ```
    /// let site = model::Elevation::from_feet(5280.0)?;
    /// assert!((site.metres() - 1609.3).abs() < 0.1);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub struct Elevation("elevation", "m", -500.0..=6000.0, example 1600.0, get metres)
}

crate::quantity! {
    /// A length: a diameter, a height, a depth.
    ///
    /// ```
    /// assert_eq!(model::Length::of(0.22).to_string(), "0.22 m");
    /// ```
    pub struct Length("length", "m", 0.001..=100.0, example 0.22, get metres)
}

crate::quantity! {
    /// How much higher one end of a line is than the other; negative if it is lower.
    ///
    /// ```
    /// assert_eq!(model::Lift::of(-0.5).to_string(), "-0.5 m");
    /// ```
    pub struct Lift("lift", "m", -100.0..=100.0, example 1.0, get metres)
}

crate::quantity! {
    /// Roughness of the wall of a line.
    ///
    /// ```
    /// assert_eq!(model::Roughness::SMOOTH.to_string(), "0.0015 mm");
    /// ```
    pub struct Roughness("roughness of a wall", "mm", 0.0..=1.0, example 0.0015, get millimetres)
}

impl Roughness {
    /// Drawn tubing, and plastic, which is no rougher (Moody 1944, from memory).
    pub const SMOOTH: Self = Self::of(0.0015);
}

crate::quantity! {
    /// An area: of a water surface, of a wall.
    ///
    /// ```
    /// assert_eq!(model::Area::of(0.0363).to_string(), "0.0363 m²");
    /// ```
    pub struct Area("area", "m²", 0.0..=10000.0, example 0.0363, get square_metres)
}

crate::quantity! {
    /// Speed of the air a fan moves past a container; 0 where there is none.
    ///
    /// ```
    /// assert_eq!(model::AirSpeed::of(1.0).to_string(), "1 m/s");
    /// ```
    pub struct AirSpeed("air speed", "m/s", 0.0..=20.0, example 1.0, get metres_per_second)
}

impl Elevation {
    /// From feet.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in metres) outside the range.
    ///
    /// ```
    /// assert!(model::Elevation::from_feet(30_000.0).is_err());
    /// ```
    pub fn from_feet(value: f64) -> Result<Self, OutOfRange> {
        Self::new(UomLength::new::<foot>(value).get::<meter>())
    }
}
