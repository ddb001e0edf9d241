//! How fast gas moves.

crate::quantity! {
    /// Volumetric mass-transfer coefficient kLa: the part of the remaining gap
    /// to equilibrium that closes per second.
    ///
    /// ```
    /// assert_eq!(model::MassTransfer::of(0.003).to_string(), "0.003 1/s");
    /// ```
    pub struct MassTransfer("mass-transfer coefficient", "1/s", 0.0..=10.0, example 0.006, get per_second)
}

crate::quantity! {
    /// Flow of CO2 that a regulator or stone passes, as litres of gas at 15 °C
    /// and one atmosphere each minute.
    ///
    /// ```
    /// assert_eq!(model::GasFlow::of(2.0).to_string(), "2 L/min");
    /// ```
    pub struct GasFlow("gas flow", "L/min", 0.0..=10000.0, example 2.0, get litres_per_minute)
}

crate::quantity! {
    /// Mass-transfer coefficient of a water surface, kL: how fast a gas crosses it.
    ///
    /// ```
    /// assert_eq!(model::SurfaceTransfer::of(0.00002).to_string(), "0.00002 m/s");
    /// ```
    pub struct SurfaceTransfer(
        "surface transfer coefficient", "m/s", 0.0..=0.1, example 0.00002, get metres_per_second
    )
}

crate::quantity! {
    /// Flow of mass: steam from a pot, gas from a cylinder, a leak.
    ///
    /// ```
    /// let leak = model::MassFlow::from_grams_per_day(24.0)?;
    /// assert!((leak.kilograms_per_hour() - 0.001).abs() < 1e-12);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub struct MassFlow("mass flow", "kg/h", 0.0..=1000000.0, example 1.0, get kilograms_per_hour)
}

crate::quantity! {
    /// Flow of water through a filter or a tap.
    ///
    /// ```
    /// assert_eq!(model::WaterFlow::of(2.0).to_string(), "2 L/min");
    /// ```
    pub struct WaterFlow("water flow", "L/min", 0.0..=10000.0, example 2.0, get litres_per_minute)
}

impl MassFlow {
    /// From grams per day, as leaks are spoken of.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`](crate::OutOfRange) (in kg/h) outside the range.
    ///
    /// ```
    /// assert!(model::MassFlow::from_grams_per_day(-1.0).is_err());
    /// ```
    pub fn from_grams_per_day(value: f64) -> Result<Self, crate::OutOfRange> {
        Self::new(value / 24_000.0)
    }

    /// In grams per day.
    ///
    /// ```
    /// assert!((model::MassFlow::of(0.001).grams_per_day() - 24.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub const fn grams_per_day(self) -> f64 {
        self.kilograms_per_hour() * 24_000.0
    }
}
