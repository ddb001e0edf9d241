//! From the keg to the glass, as far as physics goes.
//!
//! Not here, because physics does not settle it: how much foam a tap makes
//! (an input, from common practice or from the site's own records), how fast
//! a poured drink goes flat, and how long a drink keeps its taste.

mod glass;
mod ice;
mod tap;
mod yields;

pub use glass::{Glass, Poured, poured};
pub use ice::{Iced, over_ice};
pub use tap::{OnTap, content_after};
pub use yields::{PourLosses, poured_volume, servings};
