//! Carbonation and thermal physics for soda made in kegs.
//!
//! Pure functions of quantities with units: how much CO2 water takes up, how
//! much air heating drives out, how long a pot heats and a keg cools, how much
//! ice, ascorbate and gas it takes, and which limits must not be passed.
//!
//! Every quantity is a type of its own with a declared range; every function
//! returns an error value outside the range of its formula; nothing panics and
//! nothing returns NaN or infinity. The crate reads no clock and no file, and
//! knows nothing of schedules or products.
//!
//! # Examples
//!
//! At which gauge pressure does water at 2 °C settle at 4 volumes of CO2?
//!
//! ```
//! use model::{AbsolutePressure, Carbonation, SugarContent, Temperature, carbonation};
//!
//! let atmosphere = AbsolutePressure::STANDARD_ATMOSPHERE;
//! let pressure = carbonation::pressure_for(
//!     Carbonation::from_volumes(4.0)?,
//!     Temperature::new(2.0)?,
//!     AbsolutePressure::VACUUM, // no air left in the keg
//!     SugarContent::new(0.0)?,
//! )?;
//! assert!((pressure.gauge(atmosphere)?.bar() - 1.60).abs() < 0.01);
//! # Ok::<(), model::Error>(())
//! ```

mod constants;
mod error;
pub mod quantity;
mod schema;

pub mod about;
pub mod acidity;
pub mod air;
pub mod atmosphere;
pub mod calibration;
pub mod carbon_dioxide;
pub mod carbonation;
pub mod cooling;
pub mod dechlorination;
pub mod dispensing;
pub mod gas_budget;
pub mod headspace;
pub mod heating;
pub mod ice;
pub mod ice_bath;
pub mod inputs;
pub mod kinetics;
pub mod limits;
mod load;
mod numeric;
pub mod published;
pub mod serving;
pub mod uncertainty;
pub mod units;
pub mod water;

pub use error::Error;
pub use load::Load;
pub use quantity::{
    AbsolutePressure, AirContent, AirSpeed, Area, Carbonation, ChlorineResidual, Conductance,
    Density, Elevation, Energy, Factor, Fraction, GasFlow, GasInRoom, GaugePressure, HeatFlow,
    IceFactor, Length, Lift, Mass, MassFlow, MassTransfer, OutOfRange, Power, PressureDifference,
    Roughness, SpecificEnergy, SugarContent, SurfaceTransfer, Temperature, TemperatureDifference,
    TimeSpan, Volume, WaterFlow,
};

/// What the expansion of [`quantity!`](crate::quantity!) needs; not for use by hand.
#[doc(hidden)]
pub mod __private {
    pub use crate::schema::{Declaration, schema};
    pub use serde;
    pub use utoipa;
}
