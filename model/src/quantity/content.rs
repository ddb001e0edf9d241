//! What a litre of liquid, or the air of a room, contains.

use crate::OutOfRange;

crate::quantity! {
    /// Dissolved CO2.
    ///
    /// ```
    /// let soda = model::Carbonation::from_volumes(4.0)?;
    /// assert!((soda.grams_per_litre() - 7.907).abs() < 1e-3);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub struct Carbonation("carbonation", "g/L", 0.0..=80.0, example 7.9, get grams_per_litre)
}

crate::quantity! {
    /// Sucrose, in grams per 100 g of solution (degrees Brix).
    ///
    /// ```
    /// assert_eq!(model::SugarContent::of(10.0).to_string(), "10 °Bx");
    /// ```
    pub struct SugarContent("sugar content", "°Bx", 0.0..=20.0, example 10.0, get brix)
}

crate::quantity! {
    /// Chlorine left in tap water, free or total, as Cl2.
    ///
    /// ```
    /// assert_eq!(model::ChlorineResidual::of(1.0).to_string(), "1 mg/L");
    /// ```
    pub struct ChlorineResidual(
        "chlorine residual", "mg/L", 0.0..=50.0, example 1.0, get milligrams_per_litre
    )
}

crate::quantity! {
    /// Dissolved air (nitrogen, oxygen and argon), or one of its gases.
    ///
    /// ```
    /// assert_eq!(model::AirContent::of(30.0).to_string(), "30 mg/L");
    /// ```
    pub struct AirContent("air content", "mg/L", 0.0..=4000.0, example 30.0, get milligrams_per_litre)
}

crate::quantity! {
    /// CO2 in the air of a room, by volume.
    ///
    /// ```
    /// assert_eq!(model::GasInRoom::of(5000.0).to_string(), "5000 ppm");
    /// ```
    pub struct GasInRoom("CO2 in room air", "ppm", 0.0..=1000000.0, example 5000.0, get ppm)
}

impl Carbonation {
    /// One volume of CO2 as real gas at 0 °C and one atmosphere, g/L.
    ///
    /// Span & Wagner 1996 equation of state.
    pub const VOLUME: f64 = 1.9768;
    /// One volume of CO2 as an ideal gas at 0 °C and one atmosphere, g/L.
    pub const IDEAL_VOLUME: f64 = 1.9635;
    /// One volume of CO2 as real gas at 15 °C and one atmosphere, g/L: 1 kg is
    /// 534.23 L (Span & Wagner 1996). Some charts count so, or at 60 °F, where
    /// it is 0.2 % less (that they do is from memory).
    pub const WARM_VOLUME: f64 = 1.871_85;
    /// No CO2.
    pub const NONE: Self = Self::of(0.0);

    /// From volumes of real gas (1.9768 g/L each).
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in g/L) outside 0 to about 40 volumes.
    ///
    /// ```
    /// assert!(model::Carbonation::from_volumes(-1.0).is_err());
    /// ```
    pub fn from_volumes(value: f64) -> Result<Self, OutOfRange> {
        Self::new(value * Self::VOLUME)
    }

    /// In volumes of real gas (1.9768 g/L each).
    ///
    /// ```
    /// assert!((model::Carbonation::of(9.8).volumes() - 4.96).abs() < 0.01);
    /// ```
    #[must_use]
    pub const fn volumes(self) -> f64 {
        self.grams_per_litre() / Self::VOLUME
    }

    /// From volumes by the ideal-gas convention (1.9635 g/L each).
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in g/L) outside 0 to about 40 volumes.
    ///
    /// ```
    /// let soda = model::Carbonation::from_ideal_volumes(4.0)?;
    /// assert!((soda.grams_per_litre() - 7.854).abs() < 1e-3);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_ideal_volumes(value: f64) -> Result<Self, OutOfRange> {
        Self::new(value * Self::IDEAL_VOLUME)
    }

    /// In volumes by the ideal-gas convention (1.9635 g/L each).
    ///
    /// ```
    /// assert!((model::Carbonation::of(9.8).ideal_volumes() - 4.99).abs() < 0.01);
    /// ```
    #[must_use]
    pub const fn ideal_volumes(self) -> f64 {
        self.grams_per_litre() / Self::IDEAL_VOLUME
    }
}
