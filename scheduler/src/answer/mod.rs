//! The questions the scheduler answers: what to do, and how much can be ready.

mod capacity;
mod error;
mod export;
mod plan;

pub use capacity::{CapacityAnswer, CapacityQuestion, KegCount, capacity};
pub use error::NoAnswer;
pub use export::export_model;
pub use plan::plan;
