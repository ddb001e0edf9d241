//! Heating a pot: the time it takes, and what steam costs where it is open.

mod open;
mod pot;
mod steam;

pub use open::{Heated, open_time};
pub use pot::{Heater, time};
pub use steam::{OpenSurface, Steam, steam};
