//! Verdicts on what must not be passed, each with its margin and source.

pub(super) mod food;
pub(super) mod kegs;
pub(super) mod plumbing;
pub(super) mod room;
