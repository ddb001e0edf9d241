//! A filled container in air: how it cools, how long it takes and what heat it
//! gives off.
//!
//! The container is taken at one temperature throughout, with free and forced
//! convection and radiation over its whole surface. Expect real cold stores
//! within a factor 1.5 either way, and calibrate the conductance on site.

mod container;
mod curve;
mod film;
mod single;
mod store;

pub use container::{Container, Surroundings};
pub use curve::curve;
pub use film::conductance;
pub use single::{State, after, time_to};
pub use store::{Store, StoreAir, Stored, air, run};

pub(crate) use curve::decay;
