//! What can go wrong with the database. All of it is the service's own trouble, not the caller's.
//!
//! Causes are told apart by diesel's kinds and by [`Cause`], never by the words of a message, save
//! one: PostgreSQL's "no room on the disk", whose SQLSTATE (53100) diesel does not pass on.

use std::path::PathBuf;
use std::sync::Arc;

use diesel::result::{DatabaseErrorKind, Error};
use libsqlite3_sys::{
    SQLITE_BUSY, SQLITE_CANTOPEN, SQLITE_CORRUPT, SQLITE_FULL, SQLITE_IOERR, SQLITE_LOCKED,
    SQLITE_NOMEM, SQLITE_PROTOCOL, SQLITE_READONLY,
};

use super::result_codes::{Cause, cause_of};
use crate::domain::Refusal;

/// What can go wrong with the database.
#[derive(Debug, thiserror::Error)]
pub(crate) enum StorageError {
    #[error("the database refused a statement ({cause:?})")]
    Database {
        #[source]
        error: Error,
        /// What is known beyond diesel's error.
        cause: Option<Cause>,
    },
    #[error("no connection to the database")]
    Pool(#[from] diesel::r2d2::PoolError),
    #[error("the database cannot be opened or brought up to date: {0}")]
    Open(String),
    #[error(
        "the file {} is gone or another one is in its place; put it back, or restart the service",
        .0.display()
    )]
    Lost(PathBuf),
    #[error("the database did not answer in time")]
    Silent,
    #[error("the database did not say in time whether a change was made")]
    Unsure,
    #[error("the request was taken for lost and may have been repeated; its change is undone")]
    Superseded,
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

/// Primary result codes of SQLite that say it cannot just now: another program holds a lock for too
/// long, there is no room or memory, or the file cannot be written or reached.
const PASSING: [i32; 8] = [
    SQLITE_BUSY,
    SQLITE_LOCKED,
    SQLITE_NOMEM,
    SQLITE_READONLY,
    SQLITE_IOERR,
    SQLITE_FULL,
    SQLITE_CANTOPEN,
    SQLITE_PROTOCOL,
];

/// What PostgreSQL says when its disk is full.
const NO_ROOM: &str = "No space left on device";

impl StorageError {
    /// Whether something stored in one row is wrong, and the database itself is well.
    pub(super) fn is_about_a_row(&self) -> bool {
        matches!(
            self,
            Self::BadRow { .. }
                | Self::Database {
                    error: diesel::result::Error::DeserializationError(_),
                    ..
                }
        )
    }

    /// Whether it may well go when it is tried again.
    fn passes(&self) -> bool {
        match self {
            Self::Pool(_) | Self::Lost(_) | Self::Silent | Self::Superseded => true,
            Self::Database { error, cause } => passes(error, *cause),
            Self::Turn(why) => why.passes(),
            _ => false,
        }
    }

    /// Whether SQLite found its file damaged.
    pub(super) fn is_corruption(&self) -> bool {
        let code = match self {
            Self::Database {
                cause: Some(Cause::Sqlite(code)),
                ..
            } => *code,
            _ => return false,
        };
        code & 0xff == SQLITE_CORRUPT
    }

    /// Whether a change may have been made all the same.
    fn unsure(&self) -> bool {
        match self {
            Self::Unsure => true,
            Self::Turn(why) => why.unsure(),
            _ => false,
        }
    }

    /// An error while a transaction was being committed. If the connection was lost, it may have
    /// been.
    pub(super) fn at_commit(error: Error) -> Self {
        match &error {
            Error::DatabaseError(
                DatabaseErrorKind::ClosedConnection | DatabaseErrorKind::UnableToSendCommand,
                _,
            ) => {
                tracing::error!(cause = %error, "the connection was lost during a commit");
                Self::Unsure
            }
            _ => error.into(),
        }
    }
}

fn passes(error: &Error, cause: Option<Cause>) -> bool {
    match (error, cause) {
        // The low byte of an extended code is the primary one.
        (_, Some(Cause::Sqlite(code))) => PASSING.contains(&(code & 0xff)),
        (_, Some(Cause::TimedOut)) | (Error::BrokenTransactionManager, _) => true,
        (Error::DatabaseError(kind, told), None) => {
            matches!(
                kind,
                DatabaseErrorKind::ClosedConnection
                    | DatabaseErrorKind::UnableToSendCommand
                    | DatabaseErrorKind::ReadOnlyTransaction
                    | DatabaseErrorKind::SerializationFailure
            ) || told.message().contains(NO_ROOM)
        }
        _ => false,
    }
}

impl From<Error> for StorageError {
    fn from(error: Error) -> Self {
        let cause = cause_of(&error);
        Self::Database { error, cause }
    }
}

impl From<StorageError> for Refusal {
    fn from(error: StorageError) -> Self {
        if error.unsure() {
            Self::Unsure(Box::new(error))
        } else if error.passes() {
            Self::Unavailable(Box::new(error))
        } else {
            Self::internal(error)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(kind: DatabaseErrorKind, cause: Option<Cause>) -> StorageError {
        let error = Error::DatabaseError(kind, Box::new("what was said".to_owned()));
        StorageError::Database { error, cause }
    }

    #[test]
    fn what_passes_is_told_by_codes() {
        let sqlite = |code| told(DatabaseErrorKind::Unknown, Some(Cause::Sqlite(code))).passes();
        for code in [
            SQLITE_BUSY,
            libsqlite3_sys::SQLITE_BUSY_SNAPSHOT,
            libsqlite3_sys::SQLITE_IOERR_WRITE,
            libsqlite3_sys::SQLITE_READONLY_DBMOVED,
            SQLITE_FULL,
        ] {
            assert!(sqlite(code), "{code}");
        }
        for code in [
            libsqlite3_sys::SQLITE_ERROR,
            SQLITE_CORRUPT,
            libsqlite3_sys::SQLITE_CONSTRAINT_UNIQUE,
        ] {
            assert!(!sqlite(code), "{code}");
        }
        assert!(told(DatabaseErrorKind::ReadOnlyTransaction, None).passes());
        assert!(told(DatabaseErrorKind::Unknown, Some(Cause::TimedOut)).passes());
        assert!(!told(DatabaseErrorKind::Unknown, None).passes());
    }

    #[test]
    fn a_connection_lost_during_a_commit_leaves_it_open_whether_it_was_made() {
        let lost = Error::DatabaseError(
            DatabaseErrorKind::ClosedConnection,
            Box::new("gone".to_owned()),
        );
        let refusal = Refusal::from(StorageError::at_commit(lost));
        assert!(matches!(refusal, Refusal::Unsure(_)));
    }
}
