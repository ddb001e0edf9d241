//! Whether anything was written since something was read, told without asking the database.
//!
//! What this process writes counts at once, before whoever asked for it is answered. What another
//! process writes to the same SQLite file, such as a key that is revoked on the command line or a
//! copy that is restored, counts within a moment. PostgreSQL does not tell so cheaply what others
//! wrote: there it is never known, and whoever wants to know asks the database.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Weak};
use std::time::Duration;

use diesel::prelude::*;
use diesel::r2d2::ManageConnection;
use diesel::sql_types::BigInt;

use super::open::Opener;
use super::{Connection, DatabaseUrl};

/// How often other processes' writes are looked for.
const LOOK_EVERY: Duration = Duration::from_millis(50);

/// A state of the database. Two that are the same show the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Version(u64);

/// What is known of writes.
#[derive(Debug, Default)]
pub(super) struct Changes {
    writes: AtomicU64,
    /// Whether other processes' writes are looked for.
    watched: AtomicBool,
}

#[derive(QueryableByName)]
struct Seen {
    #[diesel(sql_type = BigInt)]
    data_version: i64,
}

impl Changes {
    /// Something may have been written.
    pub(super) fn count(&self) {
        self.writes.fetch_add(1, Ordering::SeqCst);
    }

    /// The present state; none where it cannot be told from others.
    pub(super) fn version(&self) -> Option<Version> {
        let watched = self.watched.load(Ordering::SeqCst);
        watched.then(|| Version(self.writes.load(Ordering::SeqCst)))
    }

    /// Looks for other processes' writes for as long as somebody wants to know.
    pub(super) fn watch(changes: &Arc<Self>, place: &DatabaseUrl) {
        if matches!(place, DatabaseUrl::Server(..)) {
            return;
        }
        let opener = Opener {
            place: place.clone(),
            reader: true,
        };
        let changes = Arc::downgrade(changes);
        let started = std::thread::Builder::new()
            .name("changes".to_owned())
            .spawn(move || look(&changes, &opener));
        if let Err(error) = started {
            tracing::warn!(cause = %error, "answers are not kept: no thread looks for changes");
        }
    }
}

fn look(changes: &Weak<Changes>, opener: &Opener) {
    let mut conn: Option<Connection> = None;
    let mut last = None;
    while let Some(changes) = changes.upgrade() {
        if conn.is_none() {
            conn = opener.connect().ok();
        }
        let seen = conn.as_mut().and_then(|conn| {
            let found: QueryResult<Seen> =
                diesel::sql_query("PRAGMA data_version").get_result(conn);
            found.ok()
        });
        match seen {
            Some(seen) => {
                if last != Some(seen.data_version) {
                    last = Some(seen.data_version);
                    changes.count();
                }
                changes.watched.store(true, Ordering::SeqCst);
            }
            None => {
                // A new connection counts from anew.
                (conn, last) = (None, None);
                changes.watched.store(false, Ordering::SeqCst);
            }
        }
        drop(changes);
        std::thread::sleep(LOOK_EVERY);
    }
}

#[cfg(test)]
mod tests {
    use std::time::Instant;

    use super::super::Store;
    use super::*;

    fn until(what: impl Fn() -> bool) {
        let begun = Instant::now();
        while !what() {
            assert!(begun.elapsed() < Duration::from_secs(20), "nothing came");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    #[test]
    fn own_writes_count_at_once_and_others_soon() {
        let dir = tempfile::tempdir().unwrap();
        let place = DatabaseUrl::File(dir.path().join("test.sqlite"));
        let ours = Store::open(&place).unwrap();
        assert_eq!(ours.version(), None, "nobody looks yet");
        ours.watch(&place);
        until(|| ours.version().is_some());
        let site = scheduler::sample::fixed().site;
        let before = ours.version();
        let _ = ours
            .write_now(|conn| super::super::sites::insert(conn, &site))
            .unwrap();
        assert_ne!(ours.version(), before);
        // What was written has been seen once it no longer changes.
        let other = Store::open(&place).unwrap();
        std::thread::sleep(4 * LOOK_EVERY);
        let before = ours.version();
        let mut second = site.clone();
        second.id = scheduler::scenario::SiteId::parse("other-bar").unwrap();
        let _ = other
            .write_now(|conn| super::super::sites::insert(conn, &second))
            .unwrap();
        until(|| ours.version() != before);
    }
}
