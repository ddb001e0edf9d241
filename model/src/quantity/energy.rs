//! Heat, heat flow and how easily heat passes.

use uom::si::energy::{btu_it, joule};
use uom::si::f64::Energy as UomEnergy;

use crate::OutOfRange;

crate::quantity! {
    /// Rate of heat or work: a heater's input, a cold store's cooling.
    ///
    /// ```
    /// assert_eq!(model::Power::of(3500.0).to_string(), "3500 W");
    /// ```
    pub struct Power("power", "W", 0.0..=10000000.0, example 3500.0, get watts)
}

crate::quantity! {
    /// An amount of heat.
    ///
    /// ```
    /// let heat = model::Energy::from_kilowatt_hours(2.79)?;
    /// assert!((heat.joules() - 10_044_000.0).abs() < 1.0);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub struct Energy("energy", "J", 0.0..=1000000000000000.0, example 10000000.0, get joules)
}

crate::quantity! {
    /// Heat flow per kelvin of difference (UA) between a thing and its
    /// surroundings.
    ///
    /// ```
    /// assert_eq!(model::Conductance::of(45.0).to_string(), "45 W/K");
    /// ```
    pub struct Conductance("conductance", "W/K", 0.0..=1000000.0, example 45.0, get watts_per_kelvin)
}

crate::quantity! {
    /// Heat flow out of a container; negative while it takes heat in.
    ///
    /// ```
    /// assert_eq!(model::HeatFlow::of(-12.0).to_string(), "-12 W");
    /// ```
    pub struct HeatFlow("heat flow", "W", -10000000.0..=10000000.0, example 190.0, get watts)
}

impl HeatFlow {
    /// The part a cold store must carry away: nothing while heat flows in.
    ///
    /// ```
    /// use model::{HeatFlow, Power};
    ///
    /// assert_eq!(HeatFlow::of(-12.0).load(), Power::of(0.0));
    /// ```
    #[must_use]
    pub const fn load(self) -> Power {
        Power(self.watts().max(0.0))
    }
}

impl Power {
    /// From British thermal units per hour, as refrigeration is often rated.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in watts) outside the range.
    ///
    /// ```
    /// let cold_store = model::Power::from_btu_per_hour(1000.0)?;
    /// assert!((cold_store.watts() - 293.07).abs() < 0.01);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    pub fn from_btu_per_hour(value: f64) -> Result<Self, OutOfRange> {
        Self::new(UomEnergy::new::<btu_it>(value).get::<joule>() / 3600.0)
    }
}

impl Energy {
    /// From kilowatt-hours.
    ///
    /// # Errors
    ///
    /// [`OutOfRange`] (in joules) outside the range.
    ///
    /// ```
    /// assert!(model::Energy::from_kilowatt_hours(-1.0).is_err());
    /// ```
    pub fn from_kilowatt_hours(value: f64) -> Result<Self, OutOfRange> {
        Self::new(value * 3.6e6)
    }

    /// In kilowatt-hours.
    ///
    /// ```
    /// assert!((model::Energy::of(3.6e6).kilowatt_hours() - 1.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub const fn kilowatt_hours(self) -> f64 {
        self.joules() / 3.6e6
    }
}
