//! Documents that are needed again and again, as they were understood before.
//!
//! What a document says follows from its text alone, so it is known again by its text: nothing has
//! to be told when it changes.

use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};

use serde::de::DeserializeOwned;

use super::StorageError;
use super::row::Row;

/// The most documents of a kind that are remembered.
const MOST: usize = 16;

/// The latest documents of a kind.
pub(super) struct ParsedCache<T>(Mutex<VecDeque<(String, T)>>);

impl<T: DeserializeOwned + Clone> ParsedCache<T> {
    pub(super) const fn new() -> Self {
        Self(Mutex::new(VecDeque::new()))
    }

    /// The document in a row.
    pub(super) fn document(&self, row: Row<'_>, text: &str) -> Result<T, StorageError> {
        if let Some(known) = self.known(text) {
            return Ok(known);
        }
        let document: T = row.document(text)?;
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if all.len() >= MOST {
            all.pop_front();
        }
        all.push_back((text.to_owned(), document.clone()));
        Ok(document)
    }

    fn known(&self, text: &str) -> Option<T> {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let same = all.iter().rev().find(|(known, _)| known == text);
        same.map(|(_, document)| document.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_document_is_known_by_its_text() {
        static NUMBERS: ParsedCache<Vec<u8>> = ParsedCache::new();
        let row = Row {
            table: "numbers",
            key: &1,
        };
        let of = |text: &str| NUMBERS.document(row, text).ok();
        assert_eq!(of("[1]"), Some(vec![1]));
        assert_eq!(of("[300]"), None);
        for n in 0..=MOST {
            assert_eq!(of(&format!("[{n}]")), Some(vec![u8::try_from(n).unwrap()]));
        }
        assert_eq!(NUMBERS.known("[1]"), None, "the oldest goes first");
        assert_eq!(NUMBERS.known("[16]"), Some(vec![16]));
    }
}
