//! The harness of the black-box tests: the real program, a real server, and what they answer.
//!
//! Nothing here knows the inside of the program. Each test has a database and a server of its own.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "tests may fail loudly"
)]

pub mod bars;
pub mod browser;
pub mod cluster;
pub mod contract;
pub mod database;
pub mod demo;
pub mod foreign;
pub mod node;
pub mod program;
pub mod proxy;
pub mod python;
pub mod raw;
pub mod reply;
pub mod server;
pub mod unfinished;

use std::path::PathBuf;

pub use program::{Ended, fizzwright};
pub use reply::Reply;
pub use server::Server;
pub use unfinished::Unfinished;

/// The seed of a random test: the same in every run, unless `SEED` says another (`make explore`).
///
/// # Panics
/// If `SEED` is not a number.
#[must_use]
pub fn seed() -> u64 {
    std::env::var("SEED").map_or(1974, |text| text.parse().expect("SEED is a number"))
}

/// The folder of this crate, as it is now: a test that was built in one checkout may run in another.
///
/// # Panics
/// If cargo does not run the test.
#[must_use]
pub fn here() -> PathBuf {
    std::env::var_os("CARGO_MANIFEST_DIR")
        .expect("cargo says where a test's crate is")
        .into()
}
