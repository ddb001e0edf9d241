//! Air trapped in a keg: how much CO2 it displaces, and how purging helps.
//!
//! Dalton's and Henry's laws for nitrogen, oxygen and argon, shared between
//! headspace and liquid, in a keg held on a regulator.

mod air;
mod loss;
mod purging;

pub use air::{Fill, air_pressure};
pub use loss::{loss, purges_needed};
pub use purging::{Mixing, Purging};
