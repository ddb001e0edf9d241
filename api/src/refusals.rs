//! Refusals in the audit trail: sign-ins that failed, keys that open nothing, and what somebody may
//! not do.
//!
//! A stranger must not be able to fill the disk. Of what is alike within a minute the first is
//! written at once and the rest as one entry that says how often; and there is an end to what is
//! written at once. What was counted and not yet written is lost if the process is killed.

use std::collections::{HashMap, HashSet};
use std::mem::take;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use actix_web::rt;

use crate::domain::access::ActorKind;
use crate::domain::audit::Noted;
use crate::problem::Chain;
use crate::storage::{StorageError, Store, audit};

/// How long what is alike is counted together.
const WINDOW: Duration = Duration::from_secs(60);

/// Entries that are written at once in that time, of strangers together and of those who are known.
const AT_ONCE: usize = 20;

/// Kinds of refusals that are told apart in that time; the rest is counted as one.
const KINDS: usize = 40;

/// What makes refusals alike: who, what, and why.
type Alike = (String, String, String, String);

/// Refusals on their way into the audit trail.
#[derive(Clone)]
pub(crate) struct Refusals {
    store: Store,
    strangers: Arc<Mutex<Window>>,
    known: Arc<Mutex<Window>>,
}

/// What was refused since a moment.
#[derive(Default)]
struct Window {
    begun: Option<Instant>,
    written: HashSet<Alike>,
    counted: HashMap<Alike, Noted>,
}

/// What is to be done about a refusal.
struct Due {
    entries: Vec<Noted>,
    /// Whether a window begins with it, which is to be closed later.
    begins: bool,
}

impl Window {
    /// Takes a refusal in, and gives what is to be written now.
    fn add(&mut self, noted: Noted, now: Instant) -> Due {
        let over = self.begun.is_some_and(|begun| now >= begun + WINDOW);
        let mut entries = if over { self.close() } else { Vec::new() };
        let begins = self.begun.is_none();
        self.begun.get_or_insert(now);
        let alike = noted.alike();
        if !self.written.contains(&alike) && self.written.len() < AT_ONCE {
            self.written.insert(alike);
            entries.push(noted);
        } else {
            self.count(alike, noted);
        }
        Due { entries, begins }
    }

    fn count(&mut self, alike: Alike, noted: Noted) {
        let full = self.counted.len() >= KINDS && !self.counted.contains_key(&alike);
        let (alike, noted) = if full {
            let rest = noted.one_of_many();
            (rest.alike(), rest)
        } else {
            (alike, noted)
        };
        let entry = self.counted.entry(alike);
        entry.and_modify(|known| known.times += 1).or_insert(noted);
    }

    /// Ends the window, and gives what was counted.
    fn close(&mut self) -> Vec<Noted> {
        self.begun = None;
        self.written.clear();
        take(&mut self.counted).into_values().collect()
    }
}

impl Refusals {
    pub(crate) fn new(store: Store) -> Self {
        Self {
            store,
            strangers: Arc::default(),
            known: Arc::default(),
        }
    }

    /// Notes a refusal. Nobody waits for it to be written.
    pub(crate) fn note(&self, noted: Noted) {
        let window = if noted.who.kind == ActorKind::Stranger {
            &self.strangers
        } else {
            &self.known
        };
        let due = locked(window).add(noted, Instant::now());
        if !due.entries.is_empty() {
            rt::spawn(self.clone().write(due.entries));
        }
        if due.begins {
            let (refusals, window) = (self.clone(), Arc::clone(window));
            rt::spawn(async move {
                rt::time::sleep(WINDOW).await;
                let counted = locked(&window).close();
                refusals.write(counted).await;
            });
        }
    }

    /// Writes what was counted, before the service ends.
    pub(crate) fn flush(&self) {
        let mut counted = locked(&self.strangers).close();
        counted.extend(locked(&self.known).close());
        if !counted.is_empty() {
            told(self.store.write_now(|conn| all(conn, &counted)));
        }
    }

    async fn write(self, entries: Vec<Noted>) {
        if !entries.is_empty() {
            let written = self.store.write_unrecorded(move |conn| all(conn, &entries));
            told(written.await);
        }
    }
}

fn all(conn: &mut crate::storage::Connection, entries: &[Noted]) -> Result<(), StorageError> {
    entries
        .iter()
        .try_for_each(|noted| audit::note(conn, noted))
}

fn told(written: Result<(), StorageError>) {
    if let Err(error) = written {
        tracing::error!(cause = %Chain(&error), "a refusal is not in the audit trail");
    }
}

fn locked(window: &Mutex<Window>) -> MutexGuard<'_, Window> {
    window.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn from(address: &str) -> Noted {
        Noted::refused_to_a_stranger(address, "sign_in", "bad_sign_in")
    }

    #[test]
    fn what_is_alike_is_written_once_and_counted() {
        let (mut window, now) = (Window::default(), Instant::now());
        let first = window.add(from("a"), now);
        assert!(first.begins);
        assert_eq!(first.entries.len(), 1);
        for _ in 0..1000 {
            let more = window.add(from("a"), now);
            assert!(more.entries.is_empty() && !more.begins);
        }
        let [counted]: [Noted; 1] = window.close().try_into().unwrap();
        assert_eq!(counted.times, 1000);
        assert!(window.close().is_empty());
    }

    #[test]
    fn however_many_there_are_only_so_much_is_written() {
        let (mut window, now) = (Window::default(), Instant::now());
        let at_once: usize = (0..10_000)
            .map(|n| window.add(from(&n.to_string()), now).entries.len())
            .sum();
        assert_eq!(at_once, AT_ONCE);
        let next = window.add(from("late"), now + WINDOW).entries;
        assert_eq!(next.len(), KINDS + 1 + 1);
        let times: i64 = next.iter().map(|noted| noted.times).sum();
        assert_eq!(times, 10_000 - 20 + 1);
    }
}
