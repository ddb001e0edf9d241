//! A solver thread: takes plans from the queue and makes them.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use scheduler::answer::{self, NoAnswer};
use scheduler::milp::Watch;
use scheduler::scenario::Checked;
use scheduler::search::Limits;

use super::control::Control;
use super::{Shared, keeper};
use crate::domain::plans::{PlanFailure, PlanId};
use crate::domain::questions::{Found, Task};
use crate::domain::{Refusal, time};
use crate::metrics;
use crate::problem::{Chain, Problem};
use crate::storage::StorageError;
use crate::storage::plans::jobs::{self, ATTEMPTS, Job, Outcome};

/// How often to look for plans that another solver has left behind.
const PATROL: Duration = Duration::from_secs(1);

/// Makes plans until the service stops.
pub(super) fn work(shared: &Shared) {
    while !shared.stopping() {
        let heard = shared.alarm.heard();
        match next(shared) {
            Ok(Some(job)) => make(shared, job),
            Ok(None) => shared.alarm.wait(heard, PATROL),
            Err(error) => {
                tracing::error!(cause = %Chain(&error), "the queue cannot be read");
                shared.alarm.wait(heard, PATROL);
            }
        }
    }
}

fn next(shared: &Shared) -> Result<Option<Job>, StorageError> {
    shared
        .store
        .write_now(|conn| jobs::claim(conn, &shared.owner, time::now()))
}

fn make(shared: &Shared, job: Job) {
    let id = job.id;
    let control = Arc::new(Control::default());
    shared.controls().insert(id, Arc::clone(&control));
    // A stop that came in between has not seen this plan.
    if shared.stopping() {
        control.interrupt();
    }
    let span = tracing::info_span!("plan", %id);
    let _inside = span.enter();
    tracing::info!(attempt = job.attempt, "searching");
    let begun = Instant::now();
    let outcome = watched(shared, job, &control);
    metrics::solved(outcome.name(), begun.elapsed(), outcome.gap());
    if let Err(error) = record(shared, id, &control, outcome) {
        tracing::error!(cause = %Chain(&error), "the end of a search is not recorded");
    }
    shared.controls().remove(&id);
}

/// Searches with a keeper beside it.
fn watched(shared: &Shared, job: Job, control: &Control) -> Outcome {
    if job.attempt > ATTEMPTS {
        return failed(Refusal::internal(
            "the search ended the solver each time it was tried",
        ));
    }
    let id = job.id;
    let (done, over) = mpsc::channel();
    thread::scope(|scope| {
        scope.spawn(move || keeper::keep(shared, id, control, &over));
        let outcome = search(job, control, shared.spare_solvers());
        drop(done);
        outcome
    })
}

fn search(job: Job, control: &Control, threads: usize) -> Outcome {
    let limits = Limits {
        threads,
        ..job.request.limits()
    };
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
    if let Ok(Ok(Some(plan))) = found.as_ref().map(|f| f.as_ref().map(Found::plan)) {
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
) -> Result<Found, NoAnswer> {
    Ok(match task {
        Task::Plan => Found::Plan(Box::new(answer::plan(scenario, limits, watch)?)),
        Task::Replan { published, facts } => {
            let found = answer::replan(scenario, published, facts, limits, watch)?;
            Found::Replanned(Box::new(found))
        }
        Task::Commitment(question) => {
            let found = answer::commitment(scenario, question, limits, watch)?;
            Found::Commitment(Box::new(found))
        }
        Task::WhatIf(question) => Found::WhatIf(Box::new(answer::what_if(
            scenario, question, limits, watch,
        )?)),
        Task::Confidence { plan, question } => {
            Found::Confidence(Box::new(answer::sure(scenario, plan, question, watch)?))
        }
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
    control: &Control,
    outcome: Outcome,
) -> Result<(), StorageError> {
    let (owner, progress) = (&shared.owner, control.progress());
    // Stopped, and not because somebody wants it cancelled: it is taken up again.
    if control.stopped() && !control.cancelled() {
        tracing::info!("left for another solver");
        return shared
            .store
            .write_now(|conn| jobs::release(conn, id, owner));
    }
    let kept = shared
        .store
        .write_now(|conn| jobs::finish(conn, id, owner, &outcome, progress))?;
    tracing::info!(kept, outcome = outcome.name(), "search over");
    Ok(())
}
