//! The name of a work item, by which what is under way refers to the plan it is of.

use std::fmt;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Names a work item within its plan: kind and number, such as `boil-3`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[schema(value_type = String, example = "boil-3")]
pub struct WorkId(String);

impl WorkId {
    pub(crate) fn new(kind: &str, number: usize) -> Self {
        Self(format!("{kind}-{number}"))
    }

    /// The number at its end.
    pub(crate) fn number(&self) -> Option<usize> {
        self.0.rsplit('-').next()?.parse().ok()
    }

    /// The id as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for WorkId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
