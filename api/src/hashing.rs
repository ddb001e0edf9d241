//! Hashing passwords: slow and hungry for memory by design, so only a few are hashed at a time.
//!
//! It is done on threads of its own. The memory each takes is used again by the next, and however
//! many people sign in at once, the threads that answer requests stay free.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use tokio::sync::oneshot;

use crate::domain::Refusal;

/// Passwords that are hashed at the same time; each takes 19 MiB and one processor.
const AT_ONCE: usize = 2;

/// Who waits for a password to be hashed. Strangers cannot fill the queue for everybody else.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Caller {
    /// Somebody who signs in from a place they never signed in from.
    Stranger,
    /// Somebody who is known, or signs in from a known place.
    Known,
}

impl Caller {
    /// How long the queue may be for this caller to join it.
    fn patience(self) -> usize {
        match self {
            Self::Stranger => 16,
            Self::Known => 64,
        }
    }
}

type Job = Box<dyn FnOnce() + Send>;

/// The threads that hash, and how many wait for them.
pub(crate) struct Hashing {
    jobs: SyncSender<Job>,
    waiting: Arc<AtomicUsize>,
}

/// A place in the queue, given back when it is dropped.
struct Turn(Arc<AtomicUsize>);

impl Drop for Turn {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

impl Hashing {
    /// Starts the threads. They end when this is dropped.
    pub(crate) fn start() -> Self {
        let (jobs, queue) = sync_channel(Caller::Known.patience());
        let queue = Arc::new(Mutex::new(queue));
        for _ in 0..AT_ONCE {
            let queue = Arc::clone(&queue);
            thread::spawn(move || work(&queue));
        }
        Self {
            jobs,
            waiting: Arc::default(),
        }
    }

    /// Does something with a password once a thread is free.
    ///
    /// # Errors
    /// `Busy` where too many wait already, at once and without waiting.
    pub(crate) async fn run<T: Send + 'static>(
        &self,
        caller: Caller,
        work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
    ) -> Result<T, Refusal> {
        let turn = self.join(caller)?;
        let (answer, answered) = oneshot::channel();
        let job = move || {
            let _turn = turn;
            // Nobody waits for it where the caller went away.
            if !answer.is_closed() {
                let _ = answer.send(work());
            }
        };
        self.jobs
            .try_send(Box::new(job))
            .map_err(|_| Refusal::Busy)?;
        let gone = |_| Err(Refusal::internal("a password could not be hashed"));
        answered.await.unwrap_or_else(gone)
    }

    fn join(&self, caller: Caller) -> Result<Turn, Refusal> {
        let before = self.waiting.fetch_add(1, Ordering::SeqCst);
        let turn = Turn(Arc::clone(&self.waiting));
        if before < caller.patience() {
            Ok(turn)
        } else {
            Err(Refusal::Busy)
        }
    }
}

fn work(queue: &Mutex<Receiver<Job>>) {
    loop {
        let next = queue.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok(job) = next else {
            return;
        };
        if catch_unwind(AssertUnwindSafe(job)).is_err() {
            tracing::error!("hashing a password panicked");
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc;

    use super::*;

    #[test]
    fn only_so_many_wait_and_strangers_fewer() {
        let hashing = Hashing::start();
        let taken: Vec<Turn> = (0..16)
            .map(|_| hashing.join(Caller::Stranger).unwrap())
            .collect();
        assert!(matches!(hashing.join(Caller::Stranger), Err(Refusal::Busy)));
        assert!(hashing.join(Caller::Known).is_ok());
        drop(taken);
        assert!(hashing.join(Caller::Stranger).is_ok());
        assert_eq!(hashing.waiting.load(Ordering::SeqCst), 0);
    }

    #[actix_web::test]
    async fn a_panic_costs_one_answer_and_no_thread() {
        let hashing = Hashing::start();
        for _ in 0..AT_ONCE + 1 {
            let lost: Result<(), Refusal> = hashing
                .run(Caller::Known, || panic!("as a bug would"))
                .await;
            assert!(lost.is_err());
        }
        let done = hashing.run(Caller::Known, || Ok(7)).await;
        assert_eq!(done.unwrap(), 7);
    }

    #[actix_web::test]
    async fn never_more_than_a_few_at_once() {
        let hashing = Arc::new(Hashing::start());
        let (now, most) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
        let (done, ended) = mpsc::channel();
        let mut asked = Vec::new();
        for _ in 0..12 {
            let (now, most, done) = (Arc::clone(&now), Arc::clone(&most), done.clone());
            let hashing = Arc::clone(&hashing);
            let work = move || {
                most.fetch_max(now.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                thread::yield_now();
                now.fetch_sub(1, Ordering::SeqCst);
                let _ = done.send(());
                Ok(())
            };
            asked.push(actix_web::rt::spawn(async move {
                hashing.run(Caller::Known, work).await
            }));
        }
        for answer in asked {
            answer.await.unwrap().unwrap();
        }
        assert_eq!(ended.try_iter().count(), 12);
        assert!(most.load(Ordering::SeqCst) <= AT_ONCE);
    }
}
