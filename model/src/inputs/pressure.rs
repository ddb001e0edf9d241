//! Pressures.

use super::input;

input! {
    /// Pressure a regulator holds or a keg is purged from, above the atmosphere.
    RegulatorPressure("regulator pressure", "bar", 0.0..=10.0, example 2.0) => GaugePressure
}
input! {
    /// Highest pressure stamped on a vessel, above the atmosphere.
    VesselRating("rating of a vessel", "bar", 0.5..=40.0, example 9.0) => GaugePressure
}
input! {
    /// Pressure expected in a vessel, above the atmosphere.
    VesselPressure("pressure in a vessel", "bar", 0.0..=60.0, example 6.1) => GaugePressure
}
input! {
    /// What a gauge shows too much.
    GaugeOffset("offset of a gauge", "bar", -2.0..=2.0, example 0.1) => PressureDifference
}
input! {
    /// Air pressure at the site, as a barometer shows it without reduction to sea level.
    Barometer("air pressure", "hPa", 450.0..=1100.0, example 1013.25) => AbsolutePressure / 1e3
}
input! {
    /// Air pressure of a weather report, which is reduced to sea level.
    WeatherReport("reported air pressure", "hPa", 850.0..=1100.0, example 1018.0)
        => AbsolutePressure / 1e3
}
input! {
    /// Partial pressure of air in a keg.
    AirPressure("partial pressure of air", "kPa", 0.0..=110.0, example 5.0) => AbsolutePressure / 1e2
}
