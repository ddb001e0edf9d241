//! Ice: the heat in it, how much is needed, and what it does to the water.

mod melt;
mod mix;

pub use melt::{Recipe, enthalpy, needed_ratio, recipe};
pub use mix::{Mix, Mixed, mixed};
