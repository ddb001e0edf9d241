//! Writers take turns, and those that wait meanwhile share the next one.
//!
//! A turn is one transaction, so the disk is waited for once, however many changes there are. Each
//! change is still all or nothing by itself: one that fails undoes only its own. Whoever asked for
//! a change is told when it is on the disk, never before.

use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use diesel::QueryResult;
use tokio::sync::oneshot::{self, Receiver, Sender};

use super::changes::Changes;
use super::connection::{Purpose, begin, commit, set_mark, undo};
use super::{Connection, StorageError};

/// The most changes that share a turn: others, such as other programs, want theirs too.
const MOST: usize = 64;

/// Changes that wait for their turn.
#[derive(Default)]
pub(super) struct GroupCommit(Mutex<Queue>);

#[derive(Default)]
struct Queue {
    waiting: Waiting,
    /// Whether somebody is on the way to make them.
    called: bool,
}

type Waiting = VecDeque<Box<dyn Change>>;

/// A change that somebody waits for.
trait Change: Send {
    /// Whether somebody still waits for it. Who was told that the database does not answer, or went
    /// away, does not get the change either.
    fn wanted(&self) -> bool;

    /// Makes it, and says whether it is to stay.
    fn make(&mut self, conn: &mut Connection) -> bool;

    /// Tells how it went: as it was made, unless that was undone later.
    fn tell(self: Box<Self>, undone: Option<&Arc<StorageError>>);
}

struct QueuedWrite<T, E, F> {
    work: Option<F>,
    made: Option<Result<T, E>>,
    asker: Sender<Result<T, E>>,
}

impl GroupCommit {
    /// Lets a change wait for its turn. Also says whether somebody must be called to make it.
    pub(super) fn join<T, E, F>(&self, work: F) -> (Receiver<Result<T, E>>, bool)
    where
        T: Send + 'static,
        E: From<StorageError> + Send + 'static,
        F: FnOnce(&mut Connection) -> Result<T, E> + Send + 'static,
    {
        let (asker, answer) = oneshot::channel();
        let mut queue = self.queue();
        queue.waiting.push_back(Box::new(QueuedWrite {
            work: Some(work),
            made: None,
            asker,
        }));
        let call = !queue.called;
        queue.called = true;
        (answer, call)
    }

    /// Makes all that waits by now.
    pub(super) fn take(&self, conn: &mut Connection, changes: &Changes) {
        let mut waiting = self.called();
        while !waiting.is_empty() {
            turn(conn, &mut waiting, changes);
        }
    }

    /// Tells all that wait by now that it cannot be done.
    pub(super) fn refuse(&self, why: StorageError) {
        let why = Arc::new(why);
        for change in self.called() {
            change.tell(Some(&why));
        }
    }

    /// All that wait by now, for whoever was called. Who comes later calls anew.
    fn called(&self) -> Waiting {
        let mut queue = self.queue();
        queue.called = false;
        std::mem::take(&mut queue.waiting)
    }

    fn queue(&self) -> MutexGuard<'_, Queue> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Makes the first of those that wait in one transaction, and tells how it went.
fn turn(conn: &mut Connection, waiting: &mut Waiting, changes: &Changes) {
    let mut made = Vec::new();
    let done = begin(conn, Purpose::Write).map_err(StorageError::from);
    let done = done.and_then(|()| {
        while made.len() < MOST
            && let Some(mut change) = waiting.pop_front()
        {
            if !change.wanted() {
                continue;
            }
            let one = single(conn, change.as_mut()).map_err(StorageError::from);
            made.push(change);
            if let Err(error) = one {
                // Databases undo everything after some errors, such as a disk that is full.
                if let Err(undoing) = undo(conn) {
                    tracing::error!(cause = %undoing, "a transaction could not be rolled back");
                }
                return Err(error);
            }
        }
        commit(conn).map_err(StorageError::at_commit)
    });
    changes.count();
    let undone = done.err().map(Arc::new);
    if undone.is_some() && made.is_empty() {
        made.extend(waiting.drain(..));
    }
    for change in made {
        change.tell(undone.as_ref());
    }
}

/// Makes one of several changes, all of it or nothing. It fails if the others must go with it.
fn single(conn: &mut Connection, change: &mut dyn Change) -> QueryResult<()> {
    set_mark(conn)?;
    let stays = catch_unwind(AssertUnwindSafe(|| change.make(conn)));
    if stays.unwrap_or(false) {
        commit(conn)
    } else {
        undo(conn)
    }
}

impl<T, E, F> Change for QueuedWrite<T, E, F>
where
    T: Send,
    E: From<StorageError> + Send,
    F: FnOnce(&mut Connection) -> Result<T, E> + Send,
{
    fn wanted(&self) -> bool {
        !self.asker.is_closed()
    }

    fn make(&mut self, conn: &mut Connection) -> bool {
        self.made = self.work.take().map(|work| work(conn));
        matches!(self.made, Some(Ok(_)))
    }

    fn tell(self: Box<Self>, undone: Option<&Arc<StorageError>>) {
        let answer = match (self.made, undone) {
            (Some(Ok(_)) | None, Some(why)) => Err(StorageError::Turn(Arc::clone(why)).into()),
            (Some(made), _) => made,
            (None, None) => Err(StorageError::Thread.into()),
        };
        // Whoever asked may have gone away.
        let _ = self.asker.send(answer);
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::tests::fresh;
    use super::super::{Store, sites};
    use super::*;
    use scheduler::scenario::{Site, SiteId};

    fn site(id: &str) -> Site {
        let mut site = scheduler::sample::fixed().site;
        site.id = SiteId::parse(id).unwrap();
        site
    }

    fn there(store: &Store, id: &str) -> bool {
        let id = SiteId::parse(id).unwrap();
        let found = store.read_now(|conn| sites::find(conn, &id)).unwrap();
        found.is_some()
    }

    #[test]
    fn one_that_fails_or_panics_undoes_only_its_own() {
        let (_dir, store) = fresh();
        let turns = GroupCommit::default();
        let add = |id: &'static str, fails: bool| {
            turns.join(move |conn| {
                let added = sites::insert(conn, &site(id))?;
                assert!(id != "panics", "as a bug would");
                if fails {
                    return Err(StorageError::Open("as a refusal would".to_owned()));
                }
                Ok(added)
            })
        };
        let (first, call) = add("first", false);
        assert!(call, "nobody is on the way");
        let (fails, call) = add("fails", true);
        assert!(!call, "somebody is on the way");
        let (panics, _) = add("panics", false);
        let (again, _) = add("first", false);
        let (last, _) = add("last", false);
        store
            .with_writer(|conn| turns.take(conn, &Changes::default()))
            .unwrap();
        assert!(first.blocking_recv().unwrap().unwrap());
        assert!(matches!(
            fails.blocking_recv().unwrap(),
            Err(StorageError::Open(_))
        ));
        assert!(matches!(
            panics.blocking_recv().unwrap(),
            Err(StorageError::Thread)
        ));
        assert!(
            !again.blocking_recv().unwrap().unwrap(),
            "it sees those before it"
        );
        assert!(last.blocking_recv().unwrap().unwrap());
        let left = ["first", "fails", "panics", "last"].map(|id| there(&store, id));
        assert_eq!(left, [true, false, false, true]);
        let (_, call) = add("later", false);
        assert!(call, "nobody is on the way any more");
    }

    #[test]
    fn all_are_told_if_their_turn_comes_to_nothing() {
        let (_dir, store) = fresh();
        let turns = GroupCommit::default();
        let (fine, _) = turns.join(|conn| sites::insert(conn, &site("fine")));
        let (breaks, _) = turns.join(|conn| {
            undo(conn)?;
            undo(conn)?;
            Err::<(), _>(StorageError::Open("as a full disk does".to_owned()))
        });
        let (next, _) = turns.join(|conn| sites::insert(conn, &site("next")));
        store
            .with_writer(|conn| turns.take(conn, &Changes::default()))
            .unwrap();
        assert!(matches!(
            fine.blocking_recv().unwrap(),
            Err(StorageError::Turn(_))
        ));
        assert!(matches!(
            breaks.blocking_recv().unwrap(),
            Err(StorageError::Open(_))
        ));
        assert!(
            next.blocking_recv().unwrap().unwrap(),
            "it has a turn of its own"
        );
        assert_eq!(["fine", "next"].map(|id| there(&store, id)), [false, true]);
    }
}
