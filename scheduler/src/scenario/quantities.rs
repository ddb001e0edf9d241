//! Quantities that only a plan knows, each with its bounds declared once.
//!
//! Physical quantities (temperatures, pressures, volumes) come from `model`.

use model::quantity;

quantity! {
    /// Water a pot holds when it is used full, ice included.
    pub struct PotVolume("pot volume", "L", 2.0..=1000.0, example 60.0, get litres)
}
quantity! {
    /// Heat a pot's burner or element takes in.
    pub struct HeaterPower("heater power", "W", 200.0..=100_000.0, example 3500.0, get watts)
}
quantity! {
    /// Part of the heater's power that reaches the water.
    pub struct Efficiency("heating efficiency", "", 0.1..=1.0, example 0.85, get ratio)
}
quantity! {
    /// Liquid in one filled container, or the container's whole inner volume.
    pub struct ContainerVolume("container volume", "L", 0.5..=100.0, example 18.5, get litres)
}
quantity! {
    /// Mass of an empty vessel.
    pub struct VesselMass("vessel mass", "kg", 0.02..=200.0, example 4.2, get kilograms)
}
quantity! {
    /// Outer diameter or height of a container.
    pub struct OuterLength("outer length", "m", 0.03..=2.0, example 0.22, get metres)
}
quantity! {
    /// Height from which water falls into a container.
    pub struct FallHeight("height of fall", "m", 0.01..=2.0, example 0.5, get metres)
}
quantity! {
    /// Cold-store places one container takes.
    pub struct PlacesPerContainer("places per container", "places", 0.05..=4.0, example 1.0, get places)
}
quantity! {
    /// Cooling power a cold store has left over for warm kegs.
    pub struct CoolingPower("cooling power", "W", 0.0..=100_000.0, example 900.0, get watts)
}
quantity! {
    /// Ice made in an hour.
    pub struct IceRate("ice rate", "kg/h", 0.0..=2000.0, example 8.0, get kilograms_per_hour)
}
quantity! {
    /// A stock of ice or CO2.
    pub struct StockMass("stock mass", "kg", 0.0..=100_000.0, example 80.0, get kilograms)
}
quantity! {
    /// Air dissolved and trapped in ice.
    pub struct IceAir("air in ice", "mg/kg", 0.0..=60.0, example 15.0, get milligrams_per_kilogram)
}
quantity! {
    /// Litres of a product wanted at a service.
    pub struct DemandVolume("demand volume", "L", 0.1..=10_000.0, example 24.0, get litres)
}
quantity! {
    /// Litres left in tapped kegs.
    pub struct LitresOnTap("litres on tap", "L", 0.0..=10_000.0, example 6.5, get litres)
}
quantity! {
    /// Finished water of one boil.
    pub struct BatchVolume("batch volume", "L", 0.0..=1000.0, example 37.0, get litres)
}
quantity! {
    /// Minutes that a step takes, or that hands are busy with it.
    pub struct StepMinutes("step minutes", "min", 0.0..=2880.0, example 10.0, get minutes)
}
quantity! {
    /// How long a product keeps after gassing.
    pub struct ShelfDays("shelf life", "d", 0.5..=365.0, example 21.0, get days)
}
quantity! {
    /// How long a product keeps on tap, or how long a service lasts.
    pub struct Hours("hours", "h", 0.5..=720.0, example 48.0, get hours)
}
quantity! {
    /// An amount of money in the site's currency.
    pub struct Price("price", "money", 0.0..=100_000.0, example 16.5, get amount)
}
quantity! {
    /// Syrup that takes the place of water in a litre of drink.
    pub struct SyrupShare("syrup share", "mL/L", 0.0..=400.0, example 120.0, get millilitres_per_litre)
}
quantity! {
    /// A stock of a material, in the material's own unit.
    pub struct MaterialAmount("material amount", "units", 0.0..=10_000_000.0, example 2500.0, get units)
}
quantity! {
    /// What goes into a litre of drink, in a material's own unit.
    pub struct IngredientShare("ingredient share", "per L", 0.0..=1000.0, example 2.5, get per_litre)
}
quantity! {
    /// Air of a room.
    pub struct CylinderRoomVolume("room volume", "m³", 1.0..=10_000.0, example 50.0, get cubic_metres)
}
quantity! {
    /// Part of something, from none to nine tenths.
    pub struct Share("share", "", 0.0..=0.9, example 0.03, get ratio)
}
