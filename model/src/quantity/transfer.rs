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
