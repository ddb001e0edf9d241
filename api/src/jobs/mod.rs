//! Work that takes seconds: plans and questions, on solver threads of their own.
//!
//! The solver keeps state for each thread that calls it, so it runs on a few threads that live as
//! long as the service and never on those that answer requests. A search is a row in the database:
//! a solver thread leases it, renews the lease while it works, and writes the result. Questions
//! are answered while the caller waits, on threads beside the plans so that a long plan does not
//! hold them up, and callers take turns there. All of these threads are started again if they die
//! (`supervisor`).

mod alarm;
mod control;
mod keeper;
mod lookout;
mod memory;
mod owner;
mod pruner;
mod questions;
mod supervisor;
mod sweeper;
mod webhooks;
mod worker;

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use crate::domain::Refusal;
use crate::domain::plans::{PlanId, PlanProgress};
use crate::settings::Settings;
use crate::storage::Store;

use alarm::Alarm;
use control::Control;
use owner::Owner;
pub(crate) use questions::Asked;
use questions::Questions;
use supervisor::Supervised;

/// The solver threads and what they share.
pub(crate) struct Jobs {
    shared: Arc<Shared>,
    questions: Questions,
    threads: Vec<Supervised>,
}

struct Shared {
    store: Store,
    /// The longest time limit of a search, in seconds.
    longest_s: f64,
    /// Names this process in leases.
    owner: Owner,
    /// Threads that search.
    solvers: usize,
    /// When this process began.
    begun: Instant,
    stopping: AtomicBool,
    alarm: Alarm,
    running: Mutex<HashMap<PlanId, Arc<Control>>>,
    /// Held by whoever takes up a search, from looking until it is noted as running.
    claiming: Mutex<()>,
}

impl Jobs {
    /// Starts the threads that make plans, those that answer questions, and those that keep
    /// house: what has run out is noted, events are delivered, what is old is thrown away, and memory
    /// goes back to the system.
    pub(crate) fn start(store: Store, settings: &Settings) -> Self {
        let shared = Arc::new(Shared::new(store, settings));
        let private_webhooks = settings.private_webhooks;
        let keeping = settings.keeping();
        let questions = Questions::default();
        let mut threads = vec![
            Supervised::start(&shared, "sweeper", sweeper::sweep),
            Supervised::start(&shared, "webhooks", move |shared| {
                webhooks::deliver(shared, private_webhooks);
            }),
            Supervised::start(&shared, "pruner", move |shared| {
                pruner::prune(shared, &keeping);
            }),
        ];
        threads.push(Supervised::start(&shared, "memory", memory::give_back));
        for _ in 0..shared.solvers {
            threads.push(Supervised::start(&shared, "solver", worker::work));
        }
        for _ in 0..questions::THREADS {
            let questions = questions.clone();
            let answer = move |_: &Shared| questions.answer();
            threads.push(Supervised::start(&shared, "questions", answer));
        }
        Self {
            shared,
            questions,
            threads,
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

    /// What is wrong with the threads, if one of them has ended or keeps dying.
    pub(crate) fn trouble(&self) -> Option<String> {
        self.threads.iter().find_map(Supervised::trouble)
    }

    /// Takes nothing up any more and interrupts what is searched; it goes back into the queue.
    pub(crate) fn interrupt(&self) {
        self.shared.stop();
    }

    /// Ends the threads, and waits for that, but not beyond a while. Searches that are not finished
    /// go back into the queue. Whether all threads have ended.
    pub(crate) fn stop(&self, at_most: Duration) -> bool {
        let by = Instant::now() + at_most;
        self.interrupt();
        self.questions.stop();
        let mut ended = true;
        for thread in &self.threads {
            ended &= thread.join(by);
        }
        ended
    }
}

impl Shared {
    fn new(store: Store, settings: &Settings) -> Self {
        Self {
            store,
            longest_s: settings.longest_time_limit_s,
            solvers: usize::from(settings.solvers).max(1),
            owner: Owner::new(),
            begun: Instant::now(),
            stopping: AtomicBool::new(false),
            alarm: Alarm::default(),
            running: Mutex::default(),
            claiming: Mutex::default(),
        }
    }

    /// Tells all threads to end.
    fn stop(&self) {
        self.stopping.store(true, Ordering::SeqCst);
        for control in self.controls().values() {
            control.interrupt();
        }
        self.alarm.ring();
    }

    fn stopping(&self) -> bool {
        self.stopping.load(Ordering::SeqCst)
    }

    /// Processors that a search may use which begins now: its own, and those of solvers that have
    /// nothing to do.
    fn spare_solvers(&self) -> usize {
        let others = self.controls().len().saturating_sub(1);
        self.solvers.saturating_sub(others).max(1)
    }

    fn controls(&self) -> MutexGuard<'_, HashMap<PlanId, Arc<Control>>> {
        self.running.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn control(&self, id: PlanId) -> Option<Arc<Control>> {
        self.controls().get(&id).cloned()
    }
}
