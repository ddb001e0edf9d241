//! Why a question has no answer.

use crate::milp::{ExportError, NoSolution, Stop};
use crate::recipe::NoRecipe;

/// Why a question has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoAnswer {
    /// Nothing is wanted, so there is nothing to plan.
    #[error("demand: 0 lines found; at least 1 is needed for a plan")]
    NoDemand,
    /// The question names something that is not in the scenario, or a time outside its horizon.
    #[error("{field}: {what}")]
    BadQuestion {
        /// The part of the question.
        field: String,
        /// What was found, and what is allowed.
        what: String,
    },
    /// A value is outside what the physics is known for.
    #[error("{0}")]
    Physics(#[from] NoRecipe),
    /// The search was stopped before it had a first plan.
    #[error("stopped before a first plan was found")]
    Stopped(Stop),
    /// The solver failed or contradicted itself.
    #[error("no plan could be computed: {0}")]
    Solver(String),
    /// The replay found the plan wrong; it is never shown.
    #[error("the plan did not pass its own replay: {0}")]
    Replay(String),
    /// The model file could not be written.
    #[error(transparent)]
    Export(#[from] ExportError),
}

impl From<NoSolution> for NoAnswer {
    fn from(error: NoSolution) -> Self {
        match error {
            NoSolution::Stopped(stop) => Self::Stopped(stop),
            other => Self::Solver(other.to_string()),
        }
    }
}
