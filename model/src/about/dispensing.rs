//! From keg to glass.

use super::{Equation, compared};

/// A line from keg to tap.
pub const DISPENSING: Equation = Equation {
    gives: "pressure, flow and length of a line from keg to tap",
    form: "p = ρ g h + (f L/d + K + 1) ρ v²/2",
    source: "Bernoulli with the losses of Darcy and Weisbach; friction factor by Churchill 1977; \
             viscosity of water by IAPWS 2008, with sugar from memory",
    valid: "a drink without bubbles in a full round line; from Reynolds numbers of 2000 to 4000 \
            nothing predicts the friction, which may be ±30 % there",
    uncertainty: compared(
        0.04,
        "4 % of the friction against Colebrook; the bore counts for more: friction goes with its \
         fifth power, so that 0.1 mm of 4.8 mm are 10 %",
    ),
};
