//! No finite input makes a public function panic, or answer NaN or infinity.
//!
//! Every function is called with quantities anywhere in their ranges, the ends
//! and tiny values more often than not. An error is a good answer.
#![allow(clippy::unwrap_used, clippy::panic)] // tests may fail loudly

#[path = "../common/mod.rs"]
mod common;

mod asking;
mod calibrating;
mod conversions;
mod gases;
mod heat;
mod kegs;
mod published;

use std::fmt::Debug;

use model::Error;

/// The answer is an error that can be shown, or holds finite numbers only.
fn check<T: Debug>(what: &str, answer: Result<T, Error>) {
    match answer {
        Ok(value) => finite(what, &value),
        Err(error) => assert!(!error.to_string().is_empty(), "{what}"),
    }
}

fn finite(what: &str, value: &impl Debug) {
    let text = format!("{value:?}");
    assert!(
        !text.contains("NaN") && !text.contains("inf"),
        "{what}: {text}"
    );
}
