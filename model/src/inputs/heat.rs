//! Power, efficiency and conductance.

use super::input;

input! {
    /// Heat a burner or element takes in.
    BurnerPower("power of a heater", "W", 10.0..=1000000.0, example 3500.0) => Power
}
input! {
    /// Most heat a cold store carries away.
    StoreCooling("cooling of a store", "W", 0.0..=1000000.0, example 300.0) => Power
}
input! {
    /// Share of a heater's power that reaches the pot: gas 0.20 to 0.45,
    /// induction 0.75 to 0.85, an immersed element near 1 (engineering estimates).
    HeatingShare("efficiency of heating", "", 0.05..=1.0, example 0.85) => Fraction
}
input! {
    /// Heat a pot loses to the room per kelvin.
    PotLoss("loss of a pot", "W/K", 0.0..=1000.0, example 5.0) => Conductance
}
input! {
    /// Walls and door of a cold store, to the room.
    WallConductance("conductance of walls", "W/K", 0.0..=10000.0, example 2.0) => Conductance
}
input! {
    /// Conductance between a container and the bath it stands in.
    BathConductance("conductance to a bath", "W/K", 0.1..=10000.0, example 45.0) => Conductance
}
input! {
    /// Conductance between a room and the wet wall of a CO2 cylinder.
    CylinderConductance("conductance of a cylinder", "W/K", 0.0..=100.0, example 1.5) => Conductance
}
input! {
    /// Emissivity of the outside of a container: 0.2 for stainless steel, 0.9 for
    /// plastic or paint (from memory).
    BlackbodyShare("emissivity", "", 0.0..=1.0, example 0.2) => Fraction
}
