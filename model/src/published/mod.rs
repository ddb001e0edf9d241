//! Published correlations as printed, in their printed units.
//!
//! Plain numbers live only here, so that each formula can be held against its
//! source digit by digit. The rest of the crate wraps them in quantities. Each
//! checks the range it is published for and returns [`OutOfRange`](crate::OutOfRange)
//! outside it.

pub mod air_properties;
pub mod bubble_column;
pub mod carroll;
pub mod churchill;
pub mod cold_air;
pub mod convection;
pub mod g704;
pub mod if97;
pub mod ionisation;
pub mod jaehne;
pub mod kell;
pub mod saturated_steam;
pub mod span_wagner;
pub mod standard_atmosphere;
pub mod still_surface;
pub mod sucrose;
pub mod viscosity;
pub mod water_enthalpy;
pub mod weir;
pub mod weiss;
