//! Temperatures, and differences between them.

use std::ops::Sub;

use uom::si::f64::ThermodynamicTemperature;
use uom::si::thermodynamic_temperature::{degree_celsius, degree_fahrenheit};

use crate::OutOfRange;

crate::quantity! {
    /// Temperature of water, ice, a container or the air around it.
    ///
    /// ```
    /// use model::Temperature;
    ///
    /// let cold = Temperature::new(4.0)?;
    /// assert_eq!(cold.to_string(), "4 °C");
    /// assert!(Temperature::new(f64::NAN).is_err());
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub struct Temperature("temperature", "°C", -60.0..=150.0, example 4.0, get celsius)
}

crate::quantity! {
    /// A difference between two temperatures, or a thermometer's offset.
    ///
    /// ```
    /// use model::{Temperature, TemperatureDifference};
    ///
    /// let drop = Temperature::of(92.0) - Temperature::of(4.0);
    /// assert_eq!(drop, TemperatureDifference::of(88.0));
    /// ```
    pub struct TemperatureDifference(
        "temperature difference", "K", -250.0..=250.0, example 2.0, get kelvins
    )
}

impl Temperature {
    /// The freezing point of pure water at one atmosphere.
    pub const FREEZING: Self = Self::of(0.0);

    /// The absolute temperature, K.
    ///
    /// ```
    /// assert!((model::Temperature::of(0.0).kelvin() - 273.15).abs() < 1e-12);
    /// ```
    #[must_use]
    pub const fn kelvin(self) -> f64 {
        self.celsius() + 273.15
    }

    /// From degrees Fahrenheit, -76 to 302 °F.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in °C) outside that range.
    ///
    /// ```
    /// let limit = model::Temperature::from_fahrenheit(41.0)?;
    /// assert!((limit.celsius() - 5.0).abs() < 1e-9);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_fahrenheit(value: f64) -> Result<Self, OutOfRange> {
        Self::new(ThermodynamicTemperature::new::<degree_fahrenheit>(value).get::<degree_celsius>())
    }

    /// In degrees Fahrenheit.
    ///
    /// ```
    /// assert!((model::Temperature::of(4.0).fahrenheit() - 39.2).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn fahrenheit(self) -> f64 {
        ThermodynamicTemperature::new::<degree_celsius>(self.celsius()).get::<degree_fahrenheit>()
    }

    /// This temperature moved by a difference.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] when the sum leaves the range of a temperature.
    ///
    /// ```
    /// use model::{Temperature, TemperatureDifference};
    ///
    /// let warmer = Temperature::of(4.0).shifted(TemperatureDifference::of(2.0))?;
    /// assert_eq!(warmer, Temperature::of(6.0));
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn shifted(self, by: TemperatureDifference) -> Result<Self, OutOfRange> {
        Self::new(self.celsius() + by.kelvins())
    }
}

impl Sub for Temperature {
    type Output = TemperatureDifference;

    fn sub(self, other: Self) -> TemperatureDifference {
        // The span of a temperature, 210 K, is inside the range of a difference.
        TemperatureDifference(self.celsius() - other.celsius())
    }
}
