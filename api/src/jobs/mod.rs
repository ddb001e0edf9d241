//! Work that takes seconds: plans and questions, on solver threads of their own.
//!
//! The solver keeps state for each thread that calls it, so it runs on a few threads that live as
//! long as the service and never on those that answer requests. A plan is a row in the database:
//! a solver thread leases it, renews the lease while it works, and writes the result. Questions
//! are answered while the caller waits, on threads beside the plans so that a long plan does not
//! hold them up, and callers take turns there.

mod alarm;
mod control;
mod keeper;
mod questions;
mod sweeper;
mod webhooks;
mod worker;

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, JoinHandle};

use uuid::Uuid;

use crate::domain::Refusal;
use crate::domain::plans::{PlanId, PlanProgress};
use crate::storage::Store;

use alarm::Alarm;
use control::Control;
pub(crate) use questions::Asked;
use questions::Questions;

/// The solver threads and what they share.
pub(crate) struct Jobs {
    shared: Arc<Shared>,
    questions: Questions,
    threads: Mutex<Vec<JoinHandle<()>>>,
}

struct Shared {
    store: Store,
    /// Names this process in leases.
    owner: String,
    /// Threads that search.
    solvers: usize,
    stopping: AtomicBool,
    alarm: Alarm,
    running: Mutex<HashMap<PlanId, Arc<Control>>>,
}

impl Jobs {
    /// Starts `solvers` threads that make plans, those that answer questions, and those that keep
    /// house: what has run out is noted, and events are delivered.
    pub(crate) fn start(store: Store, solvers: usize, private_webhooks: bool) -> Self {
        let shared = Arc::new(Shared {
            store,
            owner: Uuid::now_v7().to_string(),
            solvers: solvers.max(1),
            stopping: AtomicBool::new(false),
            alarm: Alarm::default(),
            running: Mutex::default(),
        });
        let (questions, mut threads) = Questions::start();
        let sweeping = Arc::clone(&shared);
        let delivering = Arc::clone(&shared);
        threads.extend([
            thread::spawn(move || sweeper::sweep(&sweeping)),
            thread::spawn(move || webhooks::deliver(&delivering, private_webhooks)),
        ]);
        for _ in 0..shared.solvers {
            let shared = Arc::clone(&shared);
            threads.push(thread::spawn(move || worker::work(&shared)));
        }
        Self {
            shared,
            questions,
            threads: Mutex::new(threads),
        }
    }

    /// Tells the solvers that there is a new plan to make.
    pub(crate) fn wake(&self) {
        self.shared.alarm.ring();
    }

    /// How far a plan is that this process works on.
    pub(crate) fn progress(&self, id: PlanId) -> Option<PlanProgress> {
        self.shared.control(id).map(|control| control.progress())
    }

    /// Stops the search for a plan if this process works on it.
    pub(crate) fn cancel(&self, id: PlanId) {
        if let Some(control) = self.shared.control(id) {
            control.cancel();
        }
    }

    /// Answers a question on a thread for it, and waits. The search ends when all who asked it have
    /// gone away.
    pub(crate) async fn ask<T: Clone + Send + Sync + 'static>(
        &self,
        asked: Asked,
        question: impl FnOnce(&AtomicBool) -> T + Send + 'static,
    ) -> Result<T, Refusal> {
        self.questions.ask(asked, question).await
    }

    /// Whether every thread still runs.
    pub(crate) fn alive(&self) -> bool {
        let threads = self.threads.lock().unwrap_or_else(PoisonError::into_inner);
        threads.iter().all(|thread| !thread.is_finished())
    }

    /// Ends the threads. Plans that are not finished go back into the queue.
    pub(crate) fn stop(&self) {
        self.shared.stopping.store(true, Ordering::SeqCst);
        for control in self.shared.controls().values() {
            control.interrupt();
        }
        self.shared.alarm.ring();
        self.questions.stop();
        let mut threads = self.threads.lock().unwrap_or_else(PoisonError::into_inner);
        for thread in threads.drain(..) {
            if thread.join().is_err() {
                tracing::error!("a solver thread had panicked");
            }
        }
    }
}

impl Shared {
    fn stopping(&self) -> bool {
        self.stopping.load(Ordering::SeqCst)
    }

    /// Processors that a search may use which begins now: its own, and those of solvers that have
    /// nothing to do.
    fn spare_solvers(&self) -> usize {
        let others = self.controls().len().saturating_sub(1);
        self.solvers.saturating_sub(others).max(1)
    }

    fn controls(&self) -> std::sync::MutexGuard<'_, HashMap<PlanId, Arc<Control>>> {
        self.running.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn control(&self, id: PlanId) -> Option<Arc<Control>> {
        self.controls().get(&id).cloned()
    }
}
