//! What people type: amounts with or without their unit, times of day, days of the week, towns; and
//! the answers to the ten questions.

mod amount;
mod answers;
mod clock;
mod fields;
mod place;

pub(crate) use amount::{amount, whole};
pub(crate) use answers::{Typed, answers, as_typed, read};
pub(crate) use clock::{day_and_time, days, time_of_day};
pub(crate) use fields::{FIELDS, Field, Reads};
pub(crate) use place::zone_of;
