//! Masses.

use super::input;

input! {
    /// Steel of a keg or pot.
    SteelMass("mass of steel", "kg", 0.0..=500.0, example 4.2) => Mass
}
input! {
    /// Ice.
    IceMass("mass of ice", "kg", 0.0..=5000.0, example 9.0) => Mass
}
input! {
    /// A CO2 cylinder on the scales, full or empty.
    CylinderWeight("weight of a cylinder", "kg", 0.1..=500.0, example 20.0) => Mass
}
input! {
    /// CO2 let into a room.
    GasRelease("released CO2", "kg", 0.0..=100.0, example 2.27) => Mass
}
input! {
    /// CO2 that one keg takes.
    GasPerKeg("CO2 per keg", "g", 1.0..=10000.0, example 295.0) => Mass / 1e3
}
input! {
    /// CO2 that follows a litre poured.
    GasPerLitre("CO2 per litre poured", "g", 0.1..=100.0, example 5.9) => Mass / 1e3
}
input! {
    /// Weight a cylinder has lost between two weighings.
    CylinderLoss("weight lost", "kg", 0.0..=500.0, example 1.7) => Mass
}
input! {
    /// Ascorbate or ascorbic acid.
    AscorbateDose("dose", "g", 0.0..=10000.0, example 0.37) => Mass / 1e3
}
input! {
    /// A drinking glass.
    GlassMass("mass of a glass", "kg", 0.0..=5.0, example 0.35) => Mass
}
