//! What a question is solved on.

use crate::decode::Context;
use crate::mapping::SodaNetwork;
use crate::milp::Formulation;

/// A scenario, its network, and the program of that.
#[derive(Clone, Copy)]
pub(super) struct Problem<'a> {
    pub(super) context: Context<'a>,
    pub(super) soda: &'a SodaNetwork,
    pub(super) form: &'a Formulation,
}

impl<'a> Problem<'a> {
    pub(super) fn new(context: Context<'a>, soda: &'a SodaNetwork, form: &'a Formulation) -> Self {
        Self {
            context,
            soda,
            form,
        }
    }
}
