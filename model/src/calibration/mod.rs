//! What a site's own readings say about the numbers theory only estimates.
//!
//! Each fit starts from the theory value, which counts as about three
//! readings, and returns an estimate with its spread, the number of readings
//! and the range they cover; it refuses to be used outside that range. The
//! fits are linear least squares with a conjugate (normal–inverse-gamma) prior
//! whose shape follows the readings, so an estimate is the mean of theory and
//! readings weighted 3 to n.
//!
//! The small matrices are nalgebra's: fixed-size, without allocation, and a
//! maintained Cholesky factorisation is safer than one written here.

mod air;
mod chlorine;
mod cooling;
mod estimate;
mod gas;
mod heater;
mod ice;
mod instruments;
mod purging;
mod regression;
mod transfer;

pub use air::{AirReading, air_factor};
pub use chlorine::{DoseReading, RESIDUAL_ALARM, dose_factor};
pub use cooling::{CoolingLog, TemperatureReading, conductance};
pub use estimate::Estimate;
pub use gas::{GasReading, GasUse, GasUseFit, gas_use};
pub use heater::{HeaterFit, HeatingLog, heater};
pub use ice::{IceReading, ice_factor};
pub use instruments::{gauge_offset, thermometer_offset};
pub use purging::{PurgeReading, purges};
pub use transfer::{ContentReading, mass_transfer};
