//! Volumes, lengths and areas.

use super::input;

input! {
    /// Volume of a keg, bottle or pot, or of the liquid in it.
    VesselVolume("vessel volume", "L", 0.1..=2000.0, example 18.5) => Volume
}
input! {
    /// Drink in a glass.
    Pour("drink in a glass", "L", 0.01..=5.0, example 0.25) => Volume
}
input! {
    /// Drink poured in a stretch of time.
    PouredVolume("drink poured", "L", 0.0..=100000.0, example 60.0) => Volume
}
input! {
    /// Liquid that never reaches a glass.
    LossVolume("lost volume", "L", 0.0..=100.0, example 0.2) => Volume
}
input! {
    /// Water to be treated at once.
    Batch("batch of water", "L", 0.1..=100000.0, example 30.0) => Volume
}
input! {
    /// A carbon bed, or water that has passed or may pass through it.
    FilterVolume("filter volume", "L", 0.01..=1000000.0, example 6000.0) => Volume
}
input! {
    /// Air of a room.
    RoomVolume("room volume", "m³", 1.0..=1000.0, example 50.0) => Volume * 1e3
}
input! {
    /// Volume over surface of standing water.
    PotDepth("depth of water", "m", 0.005..=5.0, example 0.3) => Length
}
input! {
    /// Outer diameter or height of a container.
    ContainerSize("size of a container", "m", 0.03..=3.0, example 0.22) => Length
}
input! {
    /// Inner diameter of a line from keg to tap.
    LineBore("bore of a line", "mm", 2.0..=25.0, example 4.8) => Length / 1e3
}
input! {
    /// Length of a line from keg to tap.
    LineLength("length of a line", "m", 0.1..=100.0, example 4.0) => Length
}
input! {
    /// How much higher the tap is than the drink in the keg; negative if it is lower.
    LineLift("lift from keg to tap", "m", -20.0..=20.0, example 0.6) => Lift
}
input! {
    /// Roughness of the wall of a line.
    LineRoughness("roughness of a line", "mm", 0.0..=0.1, example 0.0015) => Roughness
}
input! {
    /// Surface of a liquid.
    Surface("liquid surface", "m²", 0.001..=10.0, example 0.0363) => Area
}
input! {
    /// Air that a fan moves past a container; 0 without one.
    AirSpeedInStore("air speed in a store", "m/s", 0.0..=10.0, example 1.0) => AirSpeed
}
