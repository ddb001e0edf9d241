//! Connections to the database: few that write, several that read.

use std::future::Future;
use std::sync::Arc;
use std::time::Duration;

use actix_web::{rt, web};
use diesel::r2d2::Pool;

use super::changes::{Changes, Version};
use super::connection::{Purpose, begin, commit, undo};
use super::file::{self, Identity};
use super::group_commit::GroupCommit;
use super::identity;
use super::open::{Opener, bring_up_to_date};
use super::{Connection, DatabaseUrl, StorageError, audit_context};
use crate::domain::repeats::Answer;

/// Connections that may read at the same time.
const READERS: u32 = 4;

/// How long to wait for a connection before giving up.
const PATIENCE: Duration = Duration::from_secs(10);

type Connections = Pool<Opener>;

/// The database of the service. Cloning it is cheap and gives the same database.
#[derive(Clone)]
pub(crate) struct Store {
    writer: Connections,
    readers: Connections,
    changes: Arc<Changes>,
    turns: Arc<GroupCommit>,
    /// The file, where it is one.
    file: Option<Arc<Identity>>,
    /// How long a request waits, where the database may be out of reach.
    patience: Option<Duration>,
}

impl Store {
    /// Opens the database, makes the file if there is none, and brings its tables up to date.
    pub(crate) fn open(place: &DatabaseUrl) -> Result<Self, StorageError> {
        Self::open_and_tell(place).map(|(store, _)| store)
    }

    /// The same; also tells which migrations had to be run.
    pub(crate) fn open_and_tell(place: &DatabaseUrl) -> Result<(Self, Vec<String>), StorageError> {
        let failed =
            |error: &dyn std::fmt::Display| StorageError::Open(format!("{place}: {error}"));
        let told = |error| match error {
            StorageError::Open(what) => failed(&what),
            other => failed(&crate::problem::Chain(&other)),
        };
        if let DatabaseUrl::File(path) = place {
            if path.is_dir() {
                let what = "a directory was found; a database file is expected";
                return Err(failed(&what));
            }
            if path.to_str().is_none() {
                return Err(failed(&"the name is not UTF-8"));
            }
            identity::check(path).map_err(told)?;
            file::keep_private(path).map_err(|e| failed(&e))?;
        }
        // The pool would try for a while; one attempt tells at once what is wrong.
        let opener = Opener {
            place: place.clone(),
            reader: false,
        };
        let mut first = diesel::r2d2::ManageConnection::connect(&opener).map_err(|e| failed(&e))?;
        let done = bring_up_to_date(&mut first).map_err(told)?;
        drop(first);
        let file = match place {
            DatabaseUrl::File(path) => Some(Identity::of(path).map_err(|e| failed(&e))?),
            DatabaseUrl::Server(..) => None,
        };
        let writer = connections(place, 1, false).map_err(|e| failed(&e))?;
        let readers = connections(place, READERS, true).map_err(|e| failed(&e))?;
        let store = Self {
            writer,
            readers,
            changes: Arc::default(),
            turns: Arc::default(),
            file: file.map(Arc::new),
            patience: match place {
                DatabaseUrl::File(_) => None,
                DatabaseUrl::Server(_, patience) => Some(*patience),
            },
        };
        Ok((store, done))
    }

    /// From now on, looks for what other processes write.
    pub(crate) fn watch(&self, place: &DatabaseUrl) {
        Changes::watch(&self.changes, place);
    }

    /// The present state of the database, where it can be told without asking. What is read after
    /// this is at least as new.
    pub(crate) fn version(&self) -> Option<Version> {
        self.changes.version()
    }

    /// Reads, on a thread that may wait.
    pub(crate) async fn read<T, E, F>(&self, work: F) -> Result<T, E>
    where
        T: Send + 'static,
        E: From<StorageError> + Send + 'static,
        F: FnOnce(&mut Connection) -> Result<T, E> + Send + 'static,
    {
        let store = self.clone();
        let answer = web::block(move || store.read_now(work));
        match self.within_patience(answer).await {
            Some(answer) => answer.unwrap_or_else(|_| Err(StorageError::Thread.into())),
            None => Err(StorageError::Silent.into()),
        }
    }

    /// Writes all or nothing, on a thread that may wait. On behalf of a request, the entry in the
    /// audit trail is part of it.
    pub(crate) async fn write<T, E, F>(&self, work: F) -> Result<T, E>
    where
        T: Send + 'static,
        E: From<StorageError> + Send + 'static,
        F: FnOnce(&mut Connection) -> Result<T, E> + Send + 'static,
    {
        self.write_answered(move |conn| Ok((work(conn)?, None)))
            .await
    }

    /// Writes all or nothing, and keeps with it the answer that a repeat of the request is given.
    pub(crate) async fn write_answered<T, E, F>(&self, work: F) -> Result<T, E>
    where
        T: Send + 'static,
        E: From<StorageError> + Send + 'static,
        F: FnOnce(&mut Connection) -> Result<(T, Option<Answer>), E> + Send + 'static,
    {
        let trail = audit_context::current();
        let recorded = move |conn: &mut Connection| {
            let (done, answer) = work(conn)?;
            if let Some(trail) = trail {
                trail.record(conn)?;
                trail.answered(conn, answer.as_ref())?;
            }
            Ok(done)
        };
        self.write_unrecorded(recorded).await
    }

    /// Writes all or nothing, beside what the audit trail tells of.
    pub(crate) async fn write_unrecorded<T, E, F>(&self, work: F) -> Result<T, E>
    where
        T: Send + 'static,
        E: From<StorageError> + Send + 'static,
        F: FnOnce(&mut Connection) -> Result<T, E> + Send + 'static,
    {
        let (answer, call) = self.turns.join(work);
        if call {
            let store = self.clone();
            // It is begun here and now; the answer tells when it is done.
            drop(web::block(move || store.take_turns()));
        }
        match self.within_patience(answer).await {
            Some(answer) => answer.unwrap_or_else(|_| Err(StorageError::Thread.into())),
            None => Err(StorageError::Unsure.into()),
        }
    }

    /// What comes of a wait for the database, if anything does in time.
    async fn within_patience<F: Future>(&self, answer: F) -> Option<F::Output> {
        match self.patience {
            Some(patience) => rt::time::timeout(patience, answer).await.ok(),
            None => Some(answer.await),
        }
    }

    /// Refuses if the file that is open is no longer the one at its place.
    fn present(&self) -> Result<(), StorageError> {
        self.file.as_ref().map_or(Ok(()), |file| file.check())
    }

    /// Makes the changes that wait, on a thread that may wait.
    fn take_turns(&self) {
        let taken = self.with_writer(|conn| self.turns.take(conn, &self.changes));
        if let Err(error) = taken {
            self.turns.refuse(error);
        }
    }

    /// Does something with the connection that writes, once it is free.
    pub(super) fn with_writer<T>(
        &self,
        work: impl FnOnce(&mut Connection) -> T,
    ) -> Result<T, StorageError> {
        self.present()?;
        let mut conn = self.writer.get()?;
        Ok(work(&mut conn))
    }

    /// Reads on this thread, which must be one that may wait. All queries see the same state.
    pub(crate) fn read_now<T, E: From<StorageError>>(
        &self,
        work: impl FnOnce(&mut Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        self.present()?;
        let mut conn = self.readers.get().map_err(StorageError::from)?;
        within(&mut conn, Purpose::Read, work)
    }

    /// Writes all or nothing on this thread, which must be one that may wait.
    pub(crate) fn write_now<T, E: From<StorageError>>(
        &self,
        work: impl FnOnce(&mut Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        self.with_writer(|conn| {
            let done = within(conn, Purpose::Write, work);
            self.changes.count();
            done
        })?
    }
}

/// Works inside a transaction. If the work panics, the pool throws the connection away.
fn within<T, E: From<StorageError>>(
    conn: &mut Connection,
    purpose: Purpose,
    work: impl FnOnce(&mut Connection) -> Result<T, E>,
) -> Result<T, E> {
    begin(conn, purpose).map_err(StorageError::from)?;
    match work(conn) {
        Ok(done) => {
            commit(conn).map_err(StorageError::at_commit)?;
            Ok(done)
        }
        Err(error) => {
            // What the caller must know is why the work failed.
            if let Err(undoing) = undo(conn) {
                tracing::error!(cause = %undoing, "a transaction could not be rolled back");
            }
            Err(error)
        }
    }
}

fn connections(place: &DatabaseUrl, size: u32, reader: bool) -> Result<Connections, StorageError> {
    let pool = Pool::builder()
        .max_size(size)
        .min_idle(Some(1))
        .connection_timeout(PATIENCE)
        .build(Opener {
            place: place.clone(),
            reader,
        })?;
    Ok(pool)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    fn file(dir: &tempfile::TempDir) -> DatabaseUrl {
        DatabaseUrl::File(dir.path().join("test.sqlite"))
    }

    /// A fresh database; the directory must outlive it.
    pub(crate) fn fresh() -> (tempfile::TempDir, Store) {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(&file(&dir)).unwrap();
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
        let found = store
            .read_now(|conn| super::super::sites::find(conn, &site.id))
            .unwrap();
        assert!(found.is_none());
    }

    #[test]
    fn a_write_that_panics_leaves_nothing_behind_and_the_next_goes_on() {
        let (_dir, store) = fresh();
        let site = scheduler::sample::fixed().site;
        let one = store.clone();
        let same = site.clone();
        let panicked = std::thread::spawn(move || {
            one.write_now(|conn| -> Result<(), StorageError> {
                super::super::sites::insert(conn, &same)?;
                panic!("as a bug would");
            })
        });
        assert!(panicked.join().is_err());
        let added = store
            .write_now(|conn| super::super::sites::insert(conn, &site))
            .unwrap();
        assert!(added);
    }

    #[test]
    fn a_database_is_opened_again_with_what_it_had() {
        let (dir, store) = fresh();
        let site = scheduler::sample::fixed().site;
        store
            .write_now(|conn| super::super::sites::insert(conn, &site))
            .unwrap();
        drop(store);
        let (store, migrated) = Store::open_and_tell(&file(&dir)).unwrap();
        assert!(migrated.is_empty(), "{migrated:?}");
        let found = store
            .read_now(|conn| super::super::sites::find(conn, &site.id))
            .unwrap();
        assert_eq!(found.map(|found| found.document), Some(site));
    }
}
