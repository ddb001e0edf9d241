//! A solver thread: takes plans from the queue and makes them.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, PoisonError, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use scheduler::answer::{self, NoAnswer};
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::search::Limits;

use super::control::Control;
use super::{Shared, keeper};
use crate::domain::Refusal;
use crate::domain::plans::{PlanFailure, PlanId};
use crate::domain::questions::{QuestionResult, Task};
use crate::metrics;
use crate::problem::{Chain, Problem};
use crate::storage::StorageError;
use crate::storage::plans::jobs::{self, Here, Job, Outcome};

/// How often to look into the queue without being told.
const PATROL: Duration = Duration::from_secs(1);

/// Makes plans until the service stops.
pub(super) fn work(shared: &Shared) {
    while !shared.stopping() {
        let heard = shared.alarm.heard();
        match next(shared) {
            Ok(Some((job, running))) => make(shared, job, &running),
            Ok(None) => shared.alarm.wait(heard, PATROL),
            Err(error) => {
                tracing::error!(cause = %Chain(&error), "the queue cannot be read");
                shared.alarm.wait(heard, PATROL);
            }
        }
    }
}

/// Takes up the search whose turn it is, and notes it as running.
fn next(shared: &Shared) -> Result<Option<(Job, Running<'_>)>, StorageError> {
    let _one_after_the_other = shared
        .claiming
        .lock()
        .unwrap_or_else(PoisonError::into_inner);
    let (busy, alone) = {
        let controls = shared.controls();
        let alone = controls.values().any(|control| control.alone);
        (!controls.is_empty(), alone)
    };
    // What was cancelled and does not look up still takes processors and memory.
    if alone || scheduler::milp::runs_left_behind() > shared.solvers {
        return Ok(None);
    }
    let here = Here {
        lease: shared.owner.lease(),
        lived: shared.begun.elapsed(),
        busy,
    };
    let job = shared.store.write_now(|conn| jobs::claim(conn, &here))?;
    Ok(job.map(|job| {
        let running = Running::note(shared, &job);
        (job, running)
    }))
}

/// A search that this process works on; it is noted as long as this lives, even if the thread dies.
struct Running<'a> {
    shared: &'a Shared,
    id: PlanId,
    control: Arc<Control>,
}

impl<'a> Running<'a> {
    fn note(shared: &'a Shared, job: &Job) -> Self {
        let control = Arc::new(Control::new(job.alone));
        shared.controls().insert(job.id, Arc::clone(&control));
        // A stop that came in between has not seen this search.
        if shared.stopping() {
            control.interrupt();
        }
        Self {
            shared,
            id: job.id,
            control,
        }
    }
}

impl Drop for Running<'_> {
    fn drop(&mut self) {
        self.shared.controls().remove(&self.id);
        // Whatever waited for it to end may go on.
        self.shared.alarm.ring();
    }
}

fn make(shared: &Shared, job: Job, running: &Running<'_>) {
    let (id, lease, control) = (job.id, job.lease.clone(), &running.control);
    let span = tracing::info_span!("plan", %id);
    let _inside = span.enter();
    tracing::info!(attempt = job.attempt, alone = job.alone, "searching");
    let begun = Instant::now();
    let outcome = watched(shared, job, control);
    metrics::solved(outcome.name(), begun.elapsed(), outcome.gap());
    if let Err(error) = record(shared, id, &lease, control, outcome) {
        tracing::error!(cause = %Chain(&error), "the end of a search is not recorded");
    }
}

/// Searches with a keeper beside it.
fn watched(shared: &Shared, job: Job, control: &Control) -> Outcome {
    let (id, lease) = (job.id, job.lease.clone());
    let (done, over) = mpsc::channel();
    thread::scope(|scope| {
        scope.spawn(move || keeper::keep(shared, id, &lease, control, &over));
        let limits = limits(shared, &job);
        let outcome = search(job, control, limits);
        drop(done);
        outcome
    })
}

/// How long and with how many threads to search at most.
fn limits(shared: &Shared, job: &Job) -> Limits {
    let asked = job.request.limits();
    Limits {
        threads: shared.spare_solvers(),
        seconds: asked.seconds.min(shared.longest_s),
        ..asked
    }
}

fn search(job: Job, control: &Control, limits: Limits) -> Outcome {
    let checked = match job.scenario.check() {
        Ok(checked) => checked,
        Err(faults) => return failed(faults.into()),
    };
    let watch = Watch {
        cancel: &control.stop,
        progress: &|progress| control.note(progress),
    };
    let found = catch_unwind(AssertUnwindSafe(|| {
        answer_to(&job.task, &checked, limits, watch)
    }));
    if let Ok(Ok(Some(plan))) = found.as_ref().map(|f| f.as_ref().map(QuestionResult::plan)) {
        control.found(&plan.verdict);
    }
    match found {
        Ok(Ok(found)) if control.cancelled() => Outcome::Cancelled(Some(found)),
        Ok(Ok(found)) => Outcome::Done(found),
        Ok(Err(NoAnswer::Stopped(_))) if control.cancelled() => Outcome::Cancelled(None),
        Ok(Err(error)) => failed(error.into()),
        Err(_) => failed(Refusal::internal("the search panicked")),
    }
}

fn answer_to(
    task: &Task,
    scenario: &Checked,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<QuestionResult, NoAnswer> {
    Ok(match task {
        Task::Plan => QuestionResult::Plan(Box::new(answer::plan(scenario, limits, watch)?)),
        Task::Replan { published, facts } => {
            let found = answer::replan(scenario, published, facts, limits, watch)?;
            QuestionResult::Replanned(Box::new(found))
        }
        Task::Commitment(question) => {
            let found = answer::commitment(scenario, question, limits, watch)?;
            QuestionResult::Commitment(Box::new(found))
        }
        Task::WhatIf(question) => QuestionResult::WhatIf(Box::new(answer::what_if(
            scenario, question, limits, watch,
        )?)),
        Task::Confidence { plan, question } => QuestionResult::Confidence(Box::new(
            answer::confidence(scenario, plan, question, watch)?,
        )),
    })
}

fn failed(refusal: Refusal) -> Outcome {
    let document = Problem::from(refusal).document();
    Outcome::Failed(PlanFailure {
        code: document.code,
        detail: document.detail,
    })
}

fn record(
    shared: &Shared,
    id: PlanId,
    lease: &str,
    control: &Control,
    outcome: Outcome,
) -> Result<(), StorageError> {
    let progress = control.progress();
    // Stopped, and not because somebody wants it cancelled: it is taken up again.
    if control.stopped() && !control.cancelled() {
        tracing::info!("left for another solver");
        return shared
            .store
            .write_now(|conn| jobs::release(conn, id, lease));
    }
    let kept = shared
        .store
        .write_now(|conn| jobs::finish(conn, id, lease, &outcome, progress))?;
    tracing::info!(kept, outcome = outcome.name(), "search over");
    Ok(())
}
