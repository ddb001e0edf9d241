//! How fast gas and water move.

use super::input;

input! {
    /// Mass-transfer coefficient kLa of shaking or a stone.
    TransferRate("mass-transfer coefficient of a method", "1/s", 0.000001..=0.5, example 0.006)
        => MassTransfer
}
input! {
    /// Surface-transfer coefficient kL of open water.
    SurfaceRate("surface transfer of open water", "m/s", 0.0000001..=0.001, example 0.00002)
        => SurfaceTransfer
}
input! {
    /// Most gas a regulator or stone passes, as litres at 15 °C and one atmosphere.
    SupplyFlow("flow of a gas supply", "L/min", 0.01..=1000.0, example 2.0) => GasFlow
}
input! {
    /// CO2 that leaks.
    LeakRate("leak", "g/d", 0.0..=10000.0, example 5.0) => MassFlow / 2.4e4
}
input! {
    /// Water through a filter.
    TapFlow("flow through a filter", "L/min", 0.01..=1000.0, example 2.0) => WaterFlow
}
input! {
    /// Drink that leaves a tap.
    PourFlow("flow from a tap", "L/min", 0.05..=30.0, example 2.0) => WaterFlow
}
input! {
    /// Couplings, bends and the tap: their loss over the kinetic energy in the line, together.
    FittingLoss("loss of fittings", "", 0.0..=20.0, example 2.0) => Factor
}
input! {
    /// Ascorbate added beyond stoichiometry, as a share of it.
    AscorbateOverdose("overdose", "", 0.0..=1.0, example 0.1) => Fraction
}
