//! Temperatures.

use super::input;

input! {
    /// Temperature of a drink that takes up CO2, as far as its solubility is published.
    DrinkTemperature("temperature of a drink", "°C", -1.0..=40.0, example 2.0) => Temperature
}
input! {
    /// Temperature of liquid water in a pot or container.
    LiquidTemperature("temperature of liquid water", "°C", -1.0..=110.0, example 60.0) => Temperature
}
input! {
    /// Temperature of water that takes up or gives off air.
    WaterTemperature("temperature of water", "°C", 0.0..=100.0, example 10.0) => Temperature
}
input! {
    /// Temperature of ice.
    IceTemperature("temperature of ice", "°C", -40.0..=0.0, example -5.0) => Temperature
}
input! {
    /// Temperature of the air of a room.
    RoomTemperature("room temperature", "°C", -4.0..=60.0, example 20.0) => Temperature
}
input! {
    /// Temperature of the air of a cold store, or of a bath.
    StoreTemperature("temperature of a cold store", "°C", -30.0..=60.0, example 2.0) => Temperature
}
input! {
    /// Temperature of CO2 gas.
    GasTemperature("temperature of CO2 gas", "°C", -8.0..=46.0, example 20.0) => Temperature
}
input! {
    /// Temperature of a cylinder that holds liquid CO2.
    CylinderTemperature("temperature of a CO2 cylinder", "°C", -50.0..=30.0, example 20.0)
        => Temperature
}
