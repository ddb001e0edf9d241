//! The harness of the black-box tests: the real program, a real server, and what they answer.
//!
//! Nothing here knows the inside of the program. Each test has a database and a server of its own.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "tests may fail loudly"
)]

pub mod browser;
pub mod cluster;
pub mod demo;
pub mod foreign;
pub mod node;
pub mod program;
pub mod python;
pub mod server;

pub use program::{Ended, fizzwright};
pub use server::{Reply, Server};

/// The folder of this crate, wherever the sources are when the tests run.
///
/// # Panics
/// If neither cargo nor the build says where it is.
#[must_use]
pub fn here() -> std::path::PathBuf {
    let told = std::env::var_os("CARGO_MANIFEST_DIR");
    told.map_or_else(
        || env!("CARGO_MANIFEST_DIR").into(),
        std::path::PathBuf::from,
    )
}
