//! CO2: what a keg takes, and what a cylinder gives.

mod cylinder;
mod keg;

pub use cylinder::{Cylinder, draw_off_limit, latent_heat};
pub use keg::{Budget, GassedKeg, filling_with_gas, keg};

pub(crate) use keg::headspace_litres;
