//! One calculation: its card, its answer, and the whole reply.

use model::about::Equation;
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use super::inputs::Inputs;
use super::notes::{CautionNote, EquationNote, UncertaintyNote, ValidRange};
use super::refused::Refused;
use crate::domain::Refusal;

/// What a calculation is called and rests on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Card {
    /// Its path below `/v1/calculations/`.
    pub(crate) name: &'static str,
    /// What it gives, in a few words.
    pub(crate) title: &'static str,
    /// The question it answers, and what it leaves out.
    pub(crate) answers: &'static str,
    /// The equations behind it, the one that sets the uncertainty first.
    pub(crate) equations: &'static [Equation],
    /// The fields to change when inputs that are each in range have no answer.
    pub(super) blamed: &'static [&'static str],
    /// A body to start from, as JSON.
    pub(crate) example: &'static str,
}

/// A calculation, told by the type of its inputs.
pub(crate) trait Calculate: Inputs {
    /// What it gives.
    type Answer: Serialize + ToSchema + Send + 'static;

    /// What it is called and rests on.
    const CARD: Card;

    /// Asks `model`.
    fn calculate(&self) -> Result<Calculated<Self::Answer>, Refused>;
}

/// An answer, and what to mind about it.
#[derive(Debug)]
pub(crate) struct Calculated<A> {
    answer: A,
    cautions: Vec<CautionNote>,
}

impl<A> Calculated<A> {
    /// An answer without cautions so far.
    pub(super) fn new(answer: A) -> Self {
        Self {
            answer,
            cautions: Vec::new(),
        }
    }

    /// Adds something to mind.
    pub(super) fn mind(mut self, caution: impl Into<CautionNote>) -> Self {
        self.cautions.push(caution.into());
        self
    }

    /// Adds something to mind where it applies.
    pub(super) fn mind_if(self, applies: bool, caution: impl Into<CautionNote>) -> Self {
        if applies { self.mind(caution) } else { self }
    }

    /// Adds several.
    pub(super) fn mind_all(mut self, cautions: impl IntoIterator<Item = CautionNote>) -> Self {
        self.cautions.extend(cautions);
        self
    }
}

/// The answer of a calculation with everything needed to judge it.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Calculation<I, A> {
    /// What was calculated with, in SI and the units people use, defaults filled in.
    inputs: I,
    /// The answer, in SI and the units people use.
    answer: A,
    #[serde(flatten)]
    notes: CalculationNotes,
}

/// What an answer rests on, and what to mind about it.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CalculationNotes {
    /// The equations behind it, the one that sets the uncertainty first.
    equations: Vec<EquationNote>,
    /// The range each input may have; outside it there is an error, never an extrapolation.
    valid: Vec<ValidRange>,
    /// How far off the answer may be for exact inputs.
    uncertainty: UncertaintyNote,
    /// What to mind; empty where nothing is known.
    cautions: Vec<CautionNote>,
}

/// Answers from JSON to JSON, for whoever does not know the calculation by its type.
pub(super) fn run<T: Calculate>(inputs: Value) -> Result<Value, Refusal> {
    let inputs: T = serde_path_to_error::deserialize(inputs).map_err(|error| {
        Refusal::field(error.path().to_string(), error.into_inner().to_string())
    })?;
    serde_json::to_value(reply(&inputs)?).map_err(Refusal::internal)
}

/// The whole reply.
pub(crate) fn reply<T: Calculate>(inputs: &T) -> Result<Calculation<T::Echo, T::Answer>, Refusal> {
    let card = T::CARD;
    let refused = |refused: Refused| refused.naming(card.blamed);
    let echo = inputs.echo().map_err(refused)?;
    let found = inputs.calculate().map_err(refused)?;
    let main = card
        .equations
        .first()
        .ok_or_else(|| Refusal::internal(format!("{} names no equation", card.name)))?;
    Ok(Calculation {
        inputs: echo,
        answer: found.answer,
        notes: CalculationNotes {
            equations: card.equations.iter().map(EquationNote::from).collect(),
            valid: T::valid(),
            uncertainty: main.uncertainty.into(),
            cautions: found.cautions,
        },
    })
}
