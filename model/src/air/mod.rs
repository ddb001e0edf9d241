//! Air dissolved in water: how much there is, and how much heating drives out.
//!
//! Henry constants of IAPWS G7-04 for nitrogen, oxygen and argon. The totals
//! are 2 % below modern cold-water data at 0 °C and within 1 % from 10 to
//! 25 °C; near the boil other fits differ by 3.5 %.

mod gases;
mod reaeration;
mod removal;

pub(crate) use gases::{DRY_FRACTIONS, MOLAR_MASSES, solubilities};
pub use gases::{DryAir, Gases, saturated_gases};
pub use reaeration::{OPEN_AND_STILL, Standing, reaerated, time_to_reaerate};
pub use removal::{after_heating, removed, saturated, temperature_for_removal};
