//! What a litre contains, and plain numbers.

use super::input;

input! {
    /// Dissolved CO2 that is wanted.
    WantedCarbonation("wanted carbonation", "g/L", 0.1..=30.0, example 7.9) => Carbonation
}
input! {
    /// Dissolved CO2 that is there already.
    CurrentCarbonation("carbonation", "g/L", 0.0..=30.0, example 4.0) => Carbonation
}
input! {
    /// Air dissolved in water.
    WaterAir("air in water", "mg/L", 0.0..=100.0, example 4.75) => AirContent
}
input! {
    /// Air in ice, per litre of its meltwater: 0 for clear ice, 39 at most for cloudy ice (estimate).
    IceContent("air in ice", "mg/L", 0.0..=60.0, example 15.0) => AirContent
}

crate::quantity! {
    /// Acidity of a drink, pH.
    ///
    /// ```
    /// assert!(model::inputs::Acidity::of(3.5).ph() < 6.0);
    /// ```
    pub struct Acidity("pH", "", 0.0..=14.0, example 3.5, get ph)
}
crate::quantity! {
    /// A number to be turned into another unit, or a place on a range of readings.
    ///
    /// ```
    /// assert!(model::inputs::Amount::new(f64::INFINITY).is_err());
    /// ```
    pub struct Amount("amount", "", -1000000000.0..=1000000000.0, example 30.0, get value)
}
