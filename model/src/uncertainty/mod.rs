//! How far off a number on a card may be, and what makes it so: error budgets.
//!
//! By the *Guide to the expression of uncertainty in measurement* (JCGM 100:2008): each input is
//! moved by its spread and the result worked out again (5.1.3, note 2), and the parts are added as
//! the root of the sum of their squares (5.1.2; the inputs are taken as independent). Every spread
//! here is one that holds 19 times of 20 (6.2, coverage factor 2), and so is the total. Where a
//! result is crooked, down and up are kept apart, which the guide leaves open.

mod air;
mod budget;
mod co2;
mod temperature;
mod yields;

pub use air::BoiledWater;
pub use budget::{Budget, Contribution};
pub use co2::{HeldKeg, RestedKeg};
pub use temperature::{CooledKeg, IcedWater};
pub use yields::PouredKeg;
