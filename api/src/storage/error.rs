//! What can go wrong with the database. All of it is the service's own trouble, not the caller's.

use std::sync::Arc;

use crate::domain::Refusal;

/// What can go wrong with the database.
#[derive(Debug, thiserror::Error)]
pub(crate) enum StorageError {
    #[error("the database refused a statement")]
    Database(#[from] diesel::result::Error),
    #[error("no connection to the database")]
    Pool(#[from] diesel::r2d2::PoolError),
    #[error("the database cannot be opened or brought up to date: {0}")]
    Open(String),
    #[error("{table}, row {key}: {what}")]
    BadRow {
        table: &'static str,
        key: String,
        what: String,
    },
    #[error("{what} cannot be written down")]
    Unwritable {
        what: &'static str,
        #[source]
        source: serde_json::Error,
    },
    #[error("what was written together with it was undone")]
    Turn(#[source] Arc<Self>),
    #[error("the thread that worked on the database went away")]
    Thread,
}

/// What databases say when they cannot take something just now: another program holds a lock for
/// too long, or there is no room.
const PASSING: [&str; 5] = [
    "database is locked",
    "database or disk is full",
    "disk I/O error",
    "No space left on device",
    "due to lock timeout",
];

impl StorageError {
    /// Whether something stored in one row is wrong, and the database itself is well.
    pub(super) fn is_about_a_row(&self) -> bool {
        matches!(
            self,
            Self::BadRow { .. } | Self::Database(diesel::result::Error::DeserializationError(_))
        )
    }

    /// Whether it may well go when it is tried again.
    fn passes(&self) -> bool {
        match self {
            Self::Pool(_) => true,
            Self::Database(error) => {
                let text = error.to_string();
                PASSING.iter().any(|known| text.contains(known))
            }
            Self::Turn(why) => why.passes(),
            _ => false,
        }
    }
}

impl From<StorageError> for Refusal {
    fn from(error: StorageError) -> Self {
        if error.passes() {
            Self::Unavailable(Box::new(error))
        } else {
            Self::internal(error)
        }
    }
}
