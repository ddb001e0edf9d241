//! From values in rows to domain types, and back.

use std::fmt::Display;
use std::str::FromStr;

use chrono::{DateTime, FixedOffset, NaiveDateTime, Utc};
use chrono_tz::Tz;
use scheduler::plan::WorkId;
use scheduler::scenario::{is_instant, nearest_instant};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

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
        serde_json::from_str(text).or_else(|error| {
            let mended = self.with_instants_in_range(text);
            mended.ok_or_else(|| self.bad(error))
        })
    }

    /// A document from the time before instants had a range: those outside are read as the nearest
    /// there is.
    fn with_instants_in_range<T: DeserializeOwned>(self, text: &str) -> Option<T> {
        let mut document: Value = serde_json::from_str(text).ok()?;
        move_into_range(&mut document);
        let read = serde_json::from_value(document).ok()?;
        let (table, key) = (self.table, self.key.to_string());
        tracing::warn!(table, key, "instants out of range are read as the nearest");
        Some(read)
    }

    /// The id of a work item.
    pub(super) fn item(self, id: &str) -> Result<WorkId, StorageError> {
        serde_json::from_value(id.into()).map_err(|error| self.bad(error))
    }

    /// A word of a closed list.
    pub(super) fn word<T: FromStr>(self, what: &str, text: &str) -> Result<T, StorageError> {
        text.parse()
            .map_err(|_| self.bad(format!("unknown {what} {text}")))
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

/// A kept instant.
pub(super) fn utc(at: NaiveDateTime) -> DateTime<Utc> {
    nearest_instant(at).and_utc()
}

/// A kept instant on a site's clock.
pub(super) fn local(at: NaiveDateTime, zone: Tz) -> DateTime<FixedOffset> {
    utc(at).with_timezone(&zone).fixed_offset()
}

fn move_into_range(value: &mut Value) {
    match value {
        Value::String(text) => {
            let at = text.parse::<DateTime<FixedOffset>>();
            if let Some(at) = at.ok().filter(|at| !is_instant(*at)) {
                *text = utc(at.naive_utc()).to_rfc3339();
            }
        }
        Value::Array(items) => items.iter_mut().for_each(move_into_range),
        Value::Object(fields) => fields.values_mut().for_each(move_into_range),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use scheduler::scenario::Outage;

    use super::*;

    #[test]
    fn a_document_from_before_instants_had_a_range_is_read() {
        let row = Row {
            table: "setups",
            key: &1,
        };
        let forever = r#"{"equipment": {"kind": "pot", "pot": "big"},
            "from": "-262143-01-01T00:00:00Z", "until": "9999-12-31T23:59:59+01:00"}"#;
        let read: Result<Outage, _> = row.document(forever);
        let read = read.map(|outage| [outage.from, outage.until].map(|at| at.to_rfc3339()));
        assert_eq!(
            read.unwrap(),
            ["2000-01-01T00:00:00+00:00", "2200-01-01T00:00:00+00:00"]
        );
    }

    #[test]
    fn a_kept_instant_far_away_is_read_as_the_nearest() {
        let zone = chrono_tz::Pacific::Kiritimati;
        for far in [NaiveDateTime::MIN, NaiveDateTime::MAX] {
            let year = local(far, zone).to_rfc3339();
            assert!(
                year.starts_with("2000") || year.starts_with("2200"),
                "{year}"
            );
        }
    }
}
