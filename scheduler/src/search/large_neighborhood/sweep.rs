//! A first plan: from nothing to something in one walk through the horizon.
//!
//! It begins with the plan in which nothing is started that can be left, and settles stretches of
//! the horizon from the beginning to the end, each with everything else as it is. Stretches overlap
//! by half, and only starts near those of the relaxation are free. That is relax and fix (Pochet &
//! Wolsey, Production Planning by Mixed Integer Programming, 2006, chapter 3.6) with what is to come
//! left as it is instead of fractional: a stretch does not see what it should leave for later, but
//! takes a fraction of the time, there is a plan after each of them, and later steps mend the rest.

use crate::milp::NoSolution;
use crate::search::Search;

use super::{Neighborhood, Until};

/// Free starts of a stretch.
const STRETCH: usize = 320;

impl Search<'_> {
    /// Walks through the horizon once, from the plan that is known or else from an idle one.
    pub(in crate::search) fn sweep(&mut self) -> Result<(), NoSolution> {
        if self.best.is_none() {
            self.idle()?;
        }
        self.steps_with(Until::NEVER, |under, watch| {
            let mut from = 0;
            loop {
                let incumbent = under.shared().best.clone();
                let near = under.ground.near(&incumbent.values);
                let until = near.len().min(from + STRETCH);
                if from >= near.len() || under.left() <= 0.0 || watch.cancelled() {
                    return Ok(());
                }
                under.step(&incumbent, Neighborhood::Near, &near[from..until], watch)?;
                if until == near.len() {
                    return Ok(());
                }
                from += STRETCH / 2;
            }
        })
    }
}
