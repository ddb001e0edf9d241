//! Taking chlorine out of tap water: ascorbate, or a carbon filter.

mod ascorbate;
mod chlorine;
mod filter;

pub use ascorbate::{Agent, FIELD_OVERDOSE, MEASURE_FIRST, covers, dose};
pub use chlorine::Chlorine;
pub use filter::{CHLORAMINE_PASSES, CarbonFilter};
