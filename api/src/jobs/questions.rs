//! Questions that are answered while the caller waits.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, SyncSender};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, JoinHandle};

use tokio::sync::oneshot;

use crate::domain::Refusal;

/// Questions that may wait; more are told to come again.
const WAITING: usize = 16;

type Question = Box<dyn FnOnce() + Send>;

/// The way to the thread that answers questions.
pub(super) struct Questions(Mutex<Option<SyncSender<Question>>>);

impl Questions {
    pub(super) fn start() -> (Self, JoinHandle<()>) {
        let (sender, receiver) = mpsc::sync_channel(WAITING);
        let thread = thread::spawn(move || answer(&receiver));
        (Self(Mutex::new(Some(sender))), thread)
    }

    pub(super) async fn ask<T: Send + 'static>(
        &self,
        question: impl FnOnce(&AtomicBool) -> T + Send + 'static,
    ) -> Result<T, Refusal> {
        let cancel = Arc::new(AtomicBool::new(false));
        let _hanging_up_cancels = CancelOnDrop(Arc::clone(&cancel));
        let (reply, answer) = oneshot::channel();
        let asked: Question = Box::new(move || {
            if !cancel.load(Ordering::Relaxed) {
                // A caller who has gone away does not listen any more.
                let _ = reply.send(question(&cancel));
            }
        });
        let sender = self.0.lock().unwrap_or_else(PoisonError::into_inner).clone();
        sender.and_then(|sender| sender.try_send(asked).ok()).ok_or(Refusal::Busy)?;
        answer.await.map_err(|_| Refusal::internal("the answering thread panicked"))
    }

    /// Takes no more questions; the thread ends after those that wait.
    pub(super) fn stop(&self) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = None;
    }
}

fn answer(questions: &Receiver<Question>) {
    while let Ok(question) = questions.recv() {
        if catch_unwind(AssertUnwindSafe(question)).is_err() {
            tracing::error!("a question panicked");
        }
    }
}

struct CancelOnDrop(Arc<AtomicBool>);

impl Drop for CancelOnDrop {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}
