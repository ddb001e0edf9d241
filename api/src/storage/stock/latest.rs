//! The books after the latest entry of a site's ledger, remembered so that the next entry goes on
//! from there.
//!
//! Entries are never changed or taken away, so a ledger that still ends with the same entry still
//! says the same. Where it ends is asked each time: an entry that was undone, or one that another
//! process added, is told apart by its place, its reference and its instant.

use std::collections::HashMap;
use std::sync::{LazyLock, Mutex, MutexGuard, PoisonError};

use chrono::NaiveDateTime;
use diesel::prelude::*;
use scheduler::scenario::SiteId;

use super::books::Folded;
use super::{Connection, StorageError, entries};
use crate::domain::stock::StockEntry;
use crate::storage::row;

/// The most sites whose books are remembered.
const MOST: usize = 64;

type Known = HashMap<SiteId, (Latest, Option<Folded>)>;

static KNOWN: LazyLock<Mutex<Known>> = LazyLock::new(Mutex::default);

/// Where a ledger ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Latest {
    seq: i64,
    reference: String,
    recorded_at: NaiveDateTime,
}

impl Latest {
    /// The entry that was added last; none in an empty ledger.
    pub(super) fn read(conn: &mut Connection, site: &SiteId) -> Result<Option<Self>, StorageError> {
        let found: Option<(i64, String, NaiveDateTime)> = entries::table
            .filter(entries::site.eq(site.as_str()))
            .order(entries::seq.desc())
            .select((entries::seq, entries::reference, entries::recorded_at))
            .first(conn)
            .optional()?;
        Ok(found.map(|(seq, reference, recorded_at)| Self {
            seq,
            reference,
            recorded_at,
        }))
    }

    pub(super) fn of(entry: &StockEntry) -> Self {
        Self {
            seq: entry.seq,
            reference: entry.record.reference().as_str().to_owned(),
            recorded_at: row::stored(entry.recorded_at.to_utc()),
        }
    }

    /// The books after it, if they are remembered.
    pub(super) fn books(&self, site: &SiteId) -> Option<Option<Folded>> {
        let known = known();
        let (latest, folded) = known.get(site)?;
        (latest == self).then(|| folded.clone())
    }

    /// Remembers the books after it.
    pub(super) fn remember(self, site: &SiteId, books: Option<Folded>) {
        let mut known = known();
        if known.len() >= MOST && !known.contains_key(site) {
            known.clear();
        }
        known.insert(site.clone(), (self, books));
    }
}

fn known() -> MutexGuard<'static, Known> {
    KNOWN.lock().unwrap_or_else(PoisonError::into_inner)
}
