//! Inputs that are each in range, and together have no answer.

use model::{Error, OutOfRange};
use scheduler::check::Fault;

use crate::domain::Refusal;

/// Why there is no answer, and the fields to change.
#[derive(Debug)]
pub(crate) struct Refused {
    what: String,
    fields: Vec<String>,
    /// The one field is wrong by itself, whatever the others say.
    alone: bool,
}

impl Refused {
    /// These fields are the ones to change.
    pub(super) fn fields(fields: &[&str], what: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            fields: fields.iter().map(|field| (*field).to_owned()).collect(),
            alone: false,
        }
    }

    /// This field is wrong by itself.
    pub(super) fn alone(field: &str, what: impl Into<String>) -> Self {
        Self {
            alone: true,
            ..Self::fields(&[field], what)
        }
    }

    /// As a refusal; `blamed` are the fields where the refusal itself names none.
    pub(super) fn naming(self, blamed: &[&str]) -> Refusal {
        let fields = if self.fields.is_empty() {
            blamed.iter().map(|field| (*field).to_owned()).collect()
        } else {
            self.fields
        };
        let faults: Vec<Fault> = fields
            .into_iter()
            .map(|field| Fault {
                field,
                what: self.what.clone(),
            })
            .collect();
        if self.alone {
            Refusal::Invalid(faults)
        } else {
            Refusal::NoAnswer(faults)
        }
    }
}

impl From<Error> for Refused {
    fn from(error: Error) -> Self {
        let fields: &[&str] = match error {
            Error::Overfull { .. } => &["liquid_l", "brim_l"],
            _ => &[],
        };
        Self::fields(fields, error.to_string())
    }
}

impl From<OutOfRange> for Refused {
    fn from(error: OutOfRange) -> Self {
        Error::from(error).into()
    }
}
