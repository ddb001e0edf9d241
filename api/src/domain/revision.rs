//! Revisions of a document, and changes that must not overwrite each other.

use std::fmt;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Refusal;

/// Counts the changes of a document, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(try_from = "i64", into = "i64")]
#[schema(value_type = i64, minimum = 1, example = 3)]
pub(crate) struct Revision(i64);

/// Why a number is not a revision.
#[derive(Debug, thiserror::Error)]
#[error("{0} is not a revision: 1 or more is allowed")]
pub(crate) struct BadRevision(i64);

impl Revision {
    pub(crate) const FIRST: Self = Self(1);

    pub(crate) fn number(self) -> i64 {
        self.0
    }

    pub(crate) fn next(self) -> Self {
        Self(self.0 + 1)
    }
}

impl TryFrom<i64> for Revision {
    type Error = BadRevision;
    fn try_from(number: i64) -> Result<Self, BadRevision> {
        if number >= 1 {
            Ok(Self(number))
        } else {
            Err(BadRevision(number))
        }
    }
}

impl From<Revision> for i64 {
    fn from(revision: Revision) -> Self {
        revision.0
    }
}

impl fmt::Display for Revision {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// At which revision a document is stored now, and whether it is the first there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Stored {
    pub(crate) revision: Revision,
    pub(crate) first: bool,
}

/// A document and its revision.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Revised<T> {
    pub(crate) revision: Revision,
    pub(crate) document: T,
}

/// What the caller believes about the document a change replaces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Expected {
    /// Nothing was said.
    Unstated,
    /// There is none yet.
    Absent,
    /// There is one, whichever.
    Present,
    /// It is one of these revisions.
    OneOf(Vec<Revision>),
}

impl Expected {
    /// Admits a change of a document that is at `current`; none where it does not exist yet.
    pub(crate) fn admit(&self, current: Option<Revision>) -> Result<(), Refusal> {
        match (self, current) {
            (Self::Unstated | Self::Absent, None) | (Self::Present, Some(_)) => Ok(()),
            (Self::Unstated, Some(current)) => Err(Refusal::Unconditional { current }),
            (Self::OneOf(list), Some(current)) if list.contains(&current) => Ok(()),
            (Self::Absent, Some(_)) | (Self::Present, None) | (Self::OneOf(_), _) => {
                Err(Refusal::ChangedSince { current })
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_admitted_only_on_what_the_caller_read() {
        let (one, two) = (Revision::FIRST, Revision::FIRST.next());
        let list = Expected::OneOf(vec![one]);
        assert!(list.admit(Some(one)).is_ok());
        assert!(matches!(
            list.admit(Some(two)),
            Err(Refusal::ChangedSince { current: Some(now) }) if now == two
        ));
        assert!(list.admit(None).is_err());
        assert!(Expected::Unstated.admit(None).is_ok());
        assert!(matches!(
            Expected::Unstated.admit(Some(one)),
            Err(Refusal::Unconditional { .. })
        ));
        assert!(Expected::Present.admit(Some(two)).is_ok());
        assert!(Expected::Absent.admit(Some(two)).is_err());
    }
}
