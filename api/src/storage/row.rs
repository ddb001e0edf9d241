//! From values in rows to domain types, and back.

use std::fmt::Display;

use chrono::{DateTime, FixedOffset, NaiveDateTime, Utc};
use chrono_tz::Tz;
use scheduler::plan::WorkId;
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::StorageError;

/// Names a row in messages.
#[derive(Clone, Copy)]
pub(super) struct Row<'a> {
    pub(super) table: &'static str,
    pub(super) key: &'a dyn Display,
}

impl Row<'_> {
    /// Something in the row cannot be right.
    pub(super) fn bad(self, what: impl Display) -> StorageError {
        StorageError::BadRow {
            table: self.table,
            key: self.key.to_string(),
            what: what.to_string(),
        }
    }

    /// A document, checked as it is read.
    pub(super) fn document<T: DeserializeOwned>(self, text: &str) -> Result<T, StorageError> {
        serde_json::from_str(text).map_err(|error| self.bad(error))
    }

    /// The id of a work item.
    pub(super) fn item(self, id: &str) -> Result<WorkId, StorageError> {
        serde_json::from_value(id.into()).map_err(|error| self.bad(error))
    }

    /// A value with bounds of its own.
    pub(super) fn value<T, U>(self, raw: U) -> Result<T, StorageError>
    where
        T: TryFrom<U>,
        T::Error: Display,
    {
        T::try_from(raw).map_err(|error| self.bad(error))
    }
}

/// A document as text.
pub(super) fn text<T: Serialize>(what: &'static str, document: &T) -> Result<String, StorageError> {
    serde_json::to_string(document).map_err(|source| StorageError::Unwritable { what, source })
}

/// An instant as it is kept.
pub(super) fn stored(at: DateTime<Utc>) -> NaiveDateTime {
    at.naive_utc()
}

/// A kept instant on a site's clock.
pub(super) fn local(at: NaiveDateTime, zone: Tz) -> DateTime<FixedOffset> {
    at.and_utc().with_timezone(&zone).fixed_offset()
}
