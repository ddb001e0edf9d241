//! The week as one picture: water on its way through the lanes of the house, getting colder.
//!
//! ```text
//! plan ─▶ streams (who holds which water, from when to when, how warm)
//!      ─▶ lanes (one under the other, ribbons packed into them)
//!      ─▶ drawing (ribbons, gates, levels), all as text of an SVG
//! ```
//!
//! Everything here is a pure function of a plan, its scenario and a stretch of time.

mod axis;
mod drawing;
mod gates;
mod heat;
mod lanes;
mod levels;
mod streams;
mod svg;
mod words;

#[cfg(test)]
mod tests;

pub(super) use axis::View;
pub(super) use drawing::{Picture, draw};
pub(super) use svg::escape;
pub(super) use words::RibbonText;
