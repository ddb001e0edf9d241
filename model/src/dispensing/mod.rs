//! The way from keg to glass: pressure, line, lift and flow.
//!
//! The pressure in the keg lifts the drink, pushes it through the line against friction, and gives
//! it the speed with which it leaves: Bernoulli with the losses of Darcy and Weisbach. That is
//! physics. Not here, because physics does not settle it: how much gas breaks out on the way. The
//! drink is above its equilibrium from where the line's pressure falls below that of the keg; how
//! fast bubbles then form depends on scratches, warm spots and the tap. A line that is as cold as
//! the keg and balanced, so that the pressure falls along its whole length and the drink leaves
//! slowly, loses little; that is common practice, no source.

mod drink;
mod line;
mod solve;

pub use drink::Drink;
pub use line::{Line, PressureUse};
pub use solve::{balanced_length, flow, needed};
