//! Fits to a site's own readings.

pub(super) mod cooling;
pub(super) mod doses;
mod estimate;
pub(super) mod gas;
pub(super) mod heater;
pub(super) mod instruments;
pub(super) mod kegs;

use estimate::{estimate, estimated, trusted};
