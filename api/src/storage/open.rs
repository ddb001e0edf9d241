//! Opening connections to the database, and bringing its tables up to date.

use std::path::Path;

use diesel::connection::SimpleConnection;
use diesel::r2d2::{ManageConnection, R2D2Connection};
use diesel::{PgConnection, SqliteConnection};
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

use super::planner;
use super::{Connection, Place, StorageError};

const SQLITE: EmbeddedMigrations = embed_migrations!("../migrations/sqlite");
const POSTGRES: EmbeddedMigrations = embed_migrations!("../migrations/postgres");

/// Makes connections for a pool.
#[derive(Debug)]
pub(super) struct Opener {
    pub(super) place: Place,
    pub(super) reader: bool,
}

impl ManageConnection for Opener {
    type Connection = Connection;
    type Error = diesel::r2d2::Error;

    fn connect(&self) -> Result<Connection, Self::Error> {
        match &self.place {
            Place::File(path) => sqlite(path, self.reader).map(Connection::Sqlite),
            Place::Server(url) => postgres(url).map(Connection::Postgres),
        }
    }

    fn is_valid(&self, conn: &mut Connection) -> Result<(), Self::Error> {
        conn.ping().map_err(diesel::r2d2::Error::QueryError)
    }

    fn has_broken(&self, conn: &mut Connection) -> bool {
        std::thread::panicking() || conn.is_broken()
    }
}

/// Nothing acknowledged is lost when the power goes (`FULL`), readers do not wait for the writer
/// (`WAL`), and references hold.
fn sqlite(path: &Path, reader: bool) -> Result<SqliteConnection, diesel::r2d2::Error> {
    planner::keep_plans();
    let shown = path.to_string_lossy();
    let mut conn = <SqliteConnection as diesel::Connection>::establish(&shown)
        .map_err(diesel::r2d2::Error::ConnectionError)?;
    let query_only = if reader { "ON" } else { "OFF" };
    conn.batch_execute(&format!(
        "PRAGMA busy_timeout = 5000; PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; \
         PRAGMA foreign_keys = ON; PRAGMA query_only = {query_only};"
    ))
    .map_err(diesel::r2d2::Error::QueryError)?;
    Ok(conn)
}

/// A writer that waits too long gives up, and one that went away loses the lock.
fn postgres(url: &str) -> Result<PgConnection, diesel::r2d2::Error> {
    let mut conn = <PgConnection as diesel::Connection>::establish(url)
        .map_err(diesel::r2d2::Error::ConnectionError)?;
    conn.batch_execute(
        "SET lock_timeout = '10s'; SET statement_timeout = '60s'; \
         SET idle_in_transaction_session_timeout = '60s'; SET client_min_messages = warning;",
    )
    .map_err(diesel::r2d2::Error::QueryError)?;
    Ok(conn)
}

/// Runs the migrations a database lacks, and says which. Programs that start at the same time wait
/// for each other.
pub(super) fn bring_up_to_date(conn: &mut Connection) -> Result<Vec<String>, StorageError> {
    let failed = |error: &dyn std::fmt::Display| StorageError::Open(error.to_string());
    let names = |list: Vec<diesel::migration::MigrationVersion<'_>>| {
        list.iter().map(ToString::to_string).collect()
    };
    match conn {
        Connection::Sqlite(conn) => {
            let done = conn.run_pending_migrations(SQLITE);
            done.map(names).map_err(|error| failed(&error))
        }
        Connection::Postgres(conn) => {
            const KEY: &str = "1937075319";
            conn.batch_execute(&format!("SELECT pg_advisory_lock({KEY})"))?;
            let done = conn
                .run_pending_migrations(POSTGRES)
                .map(names)
                .map_err(|error| failed(&error));
            conn.batch_execute(&format!("SELECT pg_advisory_unlock({KEY})"))?;
            done
        }
    }
}
