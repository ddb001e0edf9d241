//! Questions that are answered while the caller waits.

mod queue;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

use tokio::sync::oneshot;

use crate::domain::Refusal;
use queue::{Answer, Full, Queue, Taken, Work};

/// Threads that answer. A caller has one of them at the most, so a second caller need not wait for
/// the first one's search to end.
pub(super) const THREADS: usize = 2;

/// What is asked, by whom.
pub(crate) struct Asked {
    pub(crate) caller: String,
    /// Equal for equal questions: they are worked out once.
    pub(crate) key: String,
}

/// The way to the threads that answer questions.
#[derive(Clone, Default)]
pub(super) struct Questions(Arc<Shared>);

#[derive(Default)]
struct Shared {
    open: Mutex<Open>,
    bell: Condvar,
}

#[derive(Default)]
struct Open {
    queue: Queue,
    stopping: bool,
}

impl Questions {
    /// Asks, or joins those who ask the same, and waits for the answer.
    pub(super) async fn ask<T: Clone + Send + Sync + 'static>(
        &self,
        Asked { caller, key }: Asked,
        question: impl FnOnce(&AtomicBool) -> T + Send + 'static,
    ) -> Result<T, Refusal> {
        let (reply, answer) = oneshot::channel();
        let work = || -> Work {
            Box::new(move |cancel: &AtomicBool| -> Answer { Arc::new(question(cancel)) })
        };
        // Answers of different types are never one.
        let key = format!("{} {key}", std::any::type_name::<T>());
        let asker = {
            let mut open = self.open();
            if open.stopping {
                return Err(Refusal::Stopped);
            }
            let asked = open.queue.ask(&caller, key, work, reply);
            asked.map_err(|full| match full {
                Full::Share => Refusal::TooMany { seconds: 5 },
                Full::Whole => Refusal::Busy,
            })?
        };
        let _hanging_up_leaves = Leaving {
            questions: self,
            asker,
        };
        self.0.bell.notify_one();
        let Ok(answer) = answer.await else {
            return Err(self.unanswered());
        };
        let answer = answer.downcast_ref::<T>().cloned();
        answer.ok_or_else(|| Refusal::internal("an answer to another question"))
    }

    fn unanswered(&self) -> Refusal {
        if self.open().stopping {
            Refusal::Stopped
        } else {
            Refusal::internal("a question panicked")
        }
    }

    /// Answers until the service stops.
    pub(super) fn answer(&self) {
        while let Some(taken) = self.next() {
            let Taken {
                question,
                work,
                cancel,
            } = taken;
            let answer: Option<Answer> = catch_unwind(AssertUnwindSafe(|| work(&cancel))).ok();
            if answer.is_none() {
                tracing::error!("a question panicked");
            }
            self.open().queue.answer(question, answer.as_ref());
            // The caller's next question may be taken up now.
            self.0.bell.notify_one();
        }
    }

    /// The next question, when there is one; none when the service stops.
    fn next(&self) -> Option<Taken> {
        let mut open = self.open();
        loop {
            if open.stopping {
                return None;
            }
            if let Some(taken) = open.queue.take() {
                return Some(taken);
            }
            let woken = self.0.bell.wait(open);
            open = woken.unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Takes no more questions, and ends the search for those there are.
    pub(super) fn stop(&self) {
        let mut open = self.open();
        open.stopping = true;
        open.queue.stop();
        self.0.bell.notify_all();
    }

    fn open(&self) -> MutexGuard<'_, Open> {
        let open = self.0.open.lock();
        open.unwrap_or_else(PoisonError::into_inner)
    }
}

/// Somebody who waits for an answer, and may hang up.
struct Leaving<'a> {
    questions: &'a Questions,
    asker: u64,
}

impl Drop for Leaving<'_> {
    fn drop(&mut self) {
        self.questions.open().queue.leave(self.asker);
    }
}
