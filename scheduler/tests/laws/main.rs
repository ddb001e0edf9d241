//! Laws that hold for every scenario, tried on random small ones.
//!
//! Scenarios are chosen by fixed seeds, so every run tries the same ones; a failing one is shrunk
//! to the plainest that still fails and printed as JSON.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

mod choices;
mod exhaustive;
mod more;
mod replanned;
mod replayed;
mod runner;
mod scenarios;
mod shifted;
mod supplies;
