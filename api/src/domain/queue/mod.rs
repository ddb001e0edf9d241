//! The queue of searches: who may put how much into it, whose turn it is, and what becomes of a
//! search whose process died.

mod admission;
mod deaths;
mod turns;

pub(crate) use admission::{Admission, Bounds};
pub(crate) use deaths::{GIVE_UP, is_suspect, probation};
pub(crate) use turns::{LastTurns, Waiting, next};
