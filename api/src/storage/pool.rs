//! Connections to the database: one that writes, several that read.

use std::path::Path;
use std::time::Duration;

use actix_web::web;
use diesel::connection::SimpleConnection;
use diesel::r2d2::{ConnectionManager, CustomizeConnection, Pool};
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

use super::{Connection, StorageError};

const MIGRATIONS: EmbeddedMigrations = embed_migrations!("../migrations/sqlite");

/// Connections that may read at the same time.
const READERS: u32 = 4;

/// How long to wait for a connection before giving up.
const PATIENCE: Duration = Duration::from_secs(10);

type Connections = Pool<ConnectionManager<Connection>>;

/// The database of the service. Cloning it is cheap and gives the same database.
#[derive(Clone)]
pub(crate) struct Store {
    writer: Connections,
    readers: Connections,
}

/// Sets up each new connection: nothing acknowledged is lost when the power goes (`FULL`), readers
/// do not wait for the writer (`WAL`), and references hold.
#[derive(Debug)]
struct Pragmas {
    reader: bool,
}

impl CustomizeConnection<Connection, diesel::r2d2::Error> for Pragmas {
    fn on_acquire(&self, conn: &mut Connection) -> Result<(), diesel::r2d2::Error> {
        let query_only = if self.reader { "ON" } else { "OFF" };
        conn.batch_execute(&format!(
            "PRAGMA busy_timeout = 5000; PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; \
             PRAGMA foreign_keys = ON; PRAGMA query_only = {query_only};"
        ))
        .map_err(diesel::r2d2::Error::QueryError)
    }
}

impl Store {
    /// Opens the database file, makes it if there is none, and brings its tables up to date.
    pub(crate) fn open(path: &Path) -> Result<Self, StorageError> {
        let shown = path.display();
        let failed = |error: &dyn std::fmt::Display| StorageError::Open(format!("{shown}: {error}"));
        if path.is_dir() {
            return Err(failed(&"a directory was found; a database file is expected"));
        }
        let url = path.to_str().ok_or_else(|| failed(&"the name is not UTF-8"))?;
        let writer = connections(url, 1, false).map_err(|e| failed(&e))?;
        let mut conn = writer.get().map_err(|e| failed(&e))?;
        conn.run_pending_migrations(MIGRATIONS).map_err(|e| failed(&e))?;
        drop(conn);
        let readers = connections(url, READERS, true).map_err(|e| failed(&e))?;
        Ok(Self { writer, readers })
    }

    /// Reads, on a thread that may wait.
    pub(crate) async fn read<T, E, F>(&self, work: F) -> Result<T, E>
    where
        T: Send + 'static,
        E: From<StorageError> + Send + 'static,
        F: FnOnce(&mut Connection) -> Result<T, E> + Send + 'static,
    {
        let store = self.clone();
        web::block(move || store.read_now(work)).await.unwrap_or_else(|_| Err(StorageError::Thread.into()))
    }

    /// Writes all or nothing, on a thread that may wait.
    pub(crate) async fn write<T, E, F>(&self, work: F) -> Result<T, E>
    where
        T: Send + 'static,
        E: From<StorageError> + Send + 'static,
        F: FnOnce(&mut Connection) -> Result<T, E> + Send + 'static,
    {
        let store = self.clone();
        web::block(move || store.write_now(work)).await.unwrap_or_else(|_| Err(StorageError::Thread.into()))
    }

    /// Reads on this thread, which must be one that may wait. All queries see the same state.
    pub(crate) fn read_now<T, E: From<StorageError>>(
        &self,
        work: impl FnOnce(&mut Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        let mut conn = self.readers.get().map_err(StorageError::from)?;
        let done = diesel::Connection::transaction(&mut *conn, |conn| {
            work(conn).map_err(Undone::Work)
        });
        done.map_err(Undone::cause)
    }

    /// Writes all or nothing on this thread, which must be one that may wait.
    pub(crate) fn write_now<T, E: From<StorageError>>(
        &self,
        work: impl FnOnce(&mut Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        let mut conn = self.writer.get().map_err(StorageError::from)?;
        let done = conn.immediate_transaction(|conn| work(conn).map_err(Undone::Work));
        done.map_err(Undone::cause)
    }
}

fn connections(url: &str, size: u32, reader: bool) -> Result<Connections, StorageError> {
    let pool = Pool::builder()
        .max_size(size)
        .min_idle(Some(1))
        .connection_timeout(PATIENCE)
        .connection_customizer(Box::new(Pragmas { reader }))
        .build(ConnectionManager::new(url))?;
    Ok(pool)
}

/// Why a transaction was rolled back.
enum Undone<E> {
    Database(diesel::result::Error),
    Work(E),
}

impl<E> From<diesel::result::Error> for Undone<E> {
    fn from(error: diesel::result::Error) -> Self {
        Self::Database(error)
    }
}

impl<E: From<StorageError>> Undone<E> {
    fn cause(self) -> E {
        match self {
            Self::Database(error) => StorageError::from(error).into(),
            Self::Work(error) => error,
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// A fresh database; the directory must outlive it.
    pub(crate) fn fresh() -> (tempfile::TempDir, Store) {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(&dir.path().join("test.sqlite")).unwrap();
        (dir, store)
    }

    #[test]
    fn a_failed_write_leaves_nothing_behind() {
        let (_dir, store) = fresh();
        let site = scheduler::sample::fixed().site;
        let failed: Result<(), StorageError> = store.write_now(|conn| {
            super::super::sites::insert(conn, &site)?;
            Err(StorageError::Thread)
        });
        assert!(failed.is_err());
        let found = store.read_now(|conn| super::super::sites::find(conn, &site.id)).unwrap();
        assert!(found.is_none());
    }

    #[test]
    fn a_database_is_opened_again_with_what_it_had() {
        let (dir, store) = fresh();
        let site = scheduler::sample::fixed().site;
        store.write_now(|conn| super::super::sites::insert(conn, &site)).unwrap();
        drop(store);
        let store = Store::open(&dir.path().join("test.sqlite")).unwrap();
        let found = store.read_now(|conn| super::super::sites::find(conn, &site.id)).unwrap();
        assert_eq!(found.map(|found| found.document), Some(site));
    }
}
