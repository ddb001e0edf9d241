//! Planning a soda program: what to boil, ice, fill, gas and wash, and when.
//!
//! ```text
//! scenario ──check──▶ recipes (physics) ──▶ network ──▶ program ──search──▶ plan ──replay──▶ you
//! ```
//!
//! [`scenario`] is everything one plan depends on. [`recipe`] turns it into durations and
//! quantities with the help of `model`. [`mapping`] builds the resource-task [`network`], [`milp`]
//! writes down its program and knows the solver, [`search`] finds a good plan and proves how good
//! it is, [`plan`] is the result, and [`replay`] walks it minute by minute without sharing any
//! code with the program.
//!
//! This crate never speaks HTTP or SQL and never reads the clock: time is an argument.

pub mod answer;
pub mod check;
mod decode;
mod dispatch;
pub mod draft;
pub mod mapping;
pub mod milp;
pub mod network;
pub mod plan;
pub mod recipe;
pub mod replay;
pub mod sample;
pub mod scenario;
pub mod search;
pub mod timeline;
