//! Laws of physics, tried over the whole range of the model.
#![allow(clippy::unwrap_used, clippy::panic)] // tests may fail loudly

#[path = "../common/mod.rs"]
mod common;

mod balances;
mod inverses;
mod meaning;
mod monotone;
