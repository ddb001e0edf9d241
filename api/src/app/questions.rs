//! Questions about plans that are answered in the background: what if, and how sure.

use scheduler::answer::{ConfidenceQuestion, ScenarioChange, WhatIfQuestion};
use scheduler::check::Checked;
use scheduler::scenario::{Scenario, SiteId};

use super::queue::{Search, enqueue, wanted};
use crate::blocking::slow;
use crate::domain::Refusal;
use crate::domain::plans::{PlanId, PlanRequest};
use crate::domain::questions::{Question, Task};
use crate::domain::queue::Admission;
use crate::service::Service;
use crate::storage::plans::{jobs, questions};
use crate::storage::{Connection, plans};

/// The question what changes to a site's scenario would make different, if it can be answered.
pub(crate) async fn what_if(
    service: &Service,
    site: &SiteId,
    stretch: &PlanRequest,
    asked: WhatIfQuestion,
) -> Result<Task, Refusal> {
    let (of, about) = (site.clone(), stretch.clone());
    let (scenario, _) = service
        .store
        .read(move |conn| wanted(conn, &of, &about))
        .await?;
    let bounds = service.bounds;
    slow(move || {
        bounds.check_size(&scenario)?;
        can_be_planned(&scenario, asked)
    })
    .await
}

/// Queues a question about a site's scenario.
pub(crate) fn queue(
    conn: &mut Connection,
    admission: &Admission,
    site: &SiteId,
    stretch: &PlanRequest,
    task: &Task,
) -> Result<Question, Refusal> {
    let (checked, revision) = wanted(conn, site, stretch)?;
    let search = Search {
        site,
        setup_revision: revision,
        request: stretch,
        scenario: &checked,
        task,
        parent: None,
    };
    let id = enqueue(conn, admission, &search)?;
    questions::load(conn, id)
}

/// The question, if each of its changes makes a scenario that can be planned: whoever asks is told
/// what is wrong at once, and not after the question has waited its turn.
fn can_be_planned(scenario: &Checked, question: WhatIfQuestion) -> Result<Task, Refusal> {
    let _: Vec<Checked> = question.scenarios(scenario)?;
    Ok(Task::WhatIf(question))
}

/// Queues the question what changes to the scenario a plan was made from would make different.
pub(crate) fn what_if_of(
    conn: &mut Connection,
    admission: &Admission,
    plan: PlanId,
    change: impl FnOnce(&Scenario) -> Result<Vec<ScenarioChange>, Refusal>,
) -> Result<Question, Refusal> {
    let made = plans::made(conn, plan)?;
    let asked = WhatIfQuestion {
        changes: change(&made.scenario)?,
    };
    let scenario = made.scenario.clone().check()?;
    let task = can_be_planned(&scenario, asked)?;
    let id = enqueue(
        conn,
        admission,
        &Search::about(&made.summary, &made.scenario, &task),
    )?;
    questions::load(conn, id)
}

/// Queues the question how sure a plan is.
pub(crate) fn confidence(
    conn: &mut Connection,
    admission: &Admission,
    plan: PlanId,
    question: ConfidenceQuestion,
) -> Result<Question, Refusal> {
    let found = question.replays;
    if !(100..=100_000).contains(&found) {
        let what = format!("{found} found; 100 to 100000 are allowed");
        return Err(Refusal::field("replays", what));
    }
    let made = plans::made(conn, plan)?;
    let task = Task::Confidence {
        plan: Box::new(made.plan),
        question,
    };
    let id = enqueue(
        conn,
        admission,
        &Search::about(&made.summary, &made.scenario, &task),
    )?;
    questions::load(conn, id)
}

/// Cancels a question that is queued or running.
pub(crate) fn cancel(conn: &mut Connection, id: PlanId) -> Result<Question, Refusal> {
    jobs::cancel_question(conn, id, None)?;
    questions::load(conn, id)
}
