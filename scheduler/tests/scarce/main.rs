//! Everything that is scarce or perishable: each in a scenario in which it binds. Every plan here
//! has passed its replay, which shares no code with the planner.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

mod base;
mod calendar;
mod equipment;
mod horizons;
mod refused;
mod serving;
mod supplies;
