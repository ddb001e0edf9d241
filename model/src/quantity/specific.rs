//! Per kilogram or per cubic metre.

crate::quantity! {
    /// Density of water, a drink or a gas.
    ///
    /// ```
    /// assert_eq!(model::Density::of(999.97).to_string(), "999.97 kg/m³");
    /// ```
    pub struct Density("density", "kg/m³", 0.0..=2000.0, example 999.97, get kilograms_per_cubic_metre)
}

crate::quantity! {
    /// Heat held by a kilogram, counted from water at 0 °C.
    ///
    /// ```
    /// assert_eq!(model::SpecificEnergy::of(-333360.0).to_string(), "-333360 J/kg");
    /// ```
    pub struct SpecificEnergy(
        "enthalpy", "J/kg", -1000000.0..=4000000.0, example 16800.0, get joules_per_kilogram
    )
}
