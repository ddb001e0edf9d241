//! Air dissolved in water: how much there is, and how much heating drives out.
//!
//! Nitrogen, oxygen and argon: up to 30 °C the measurements of Hamme & Emerson
//! and of Benson & Krause (0.2 %), from 50 °C on the Henry constants of IAPWS
//! G7-04, of which other fits differ by 3.5 % near the boil.

mod free_fall;
mod gases;
mod reaeration;
mod removal;
mod still_surface;

pub use free_fall::after_fall;
pub(crate) use gases::{DRY_FRACTIONS, MOLAR_MASSES, solubilities};
pub use gases::{DryAir, Gases, saturated_gases};
pub use reaeration::{OPEN_AND_STILL, Standing, reaerated, time_to_reaerate};
pub use removal::{after_heating, removed, saturated, temperature_for_removal};
pub use still_surface::still_surface;
