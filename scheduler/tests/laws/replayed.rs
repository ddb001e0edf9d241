//! The replay, which shares no code with the planner, accepts every plan.
//!
//! 2,000 scenarios in four lots, so that they are tried side by side. The law is about every plan,
//! not only the best, so the search is given little time and is content with a good one.

use crate::runner::{holds, quickly};

/// Planning includes the replay, and a plan it refuses is an error.
fn accepted(seed: u64) {
    holds(seed, 500, |scenario| {
        quickly(scenario)?;
        Ok(())
    });
}

#[test]
fn the_replay_accepts_every_plan_of_the_first_lot() {
    accepted(1);
}

#[test]
fn the_replay_accepts_every_plan_of_the_second_lot() {
    accepted(2);
}

#[test]
fn the_replay_accepts_every_plan_of_the_third_lot() {
    accepted(3);
}

#[test]
fn the_replay_accepts_every_plan_of_the_fourth_lot() {
    accepted(4);
}
