//! Commitments: something more is asked for, held for a while, and accepted or let go.

use scheduler::scenario::{Demand, Site, SiteId};

use super::queue::{Search, enqueue};
use crate::domain::commitments::{
    AcceptRequest, BASIS, Commitment, CommitmentRequest, HoldRequest, ReleaseRequest, check,
};
use crate::domain::plans::{PlanId, PlanRequest};
use crate::domain::questions::{SearchKind, Task};
use crate::domain::queue::Admission;
use crate::domain::scenario::assemble;
use crate::domain::{Refusal, demand as lines, time};
use crate::storage::plans::jobs;
use crate::storage::{Connection, commitments, demand, events, scenario, setup, sites};

/// Queues a question.
pub(crate) fn ask(
    conn: &mut Connection,
    admission: &Admission,
    site: &SiteId,
    request: CommitmentRequest,
) -> Result<Commitment, Refusal> {
    let (stretch, question) = request.parts();
    let horizon = stretch.horizon();
    let mut known = scenario::known(conn, site, &horizon)?;
    known.demand.extend(held(conn, &known.site, &stretch)?);
    let (checked, revision) = assemble(known, horizon)?;
    check(&checked, &question)?;
    let task = Task::Commitment(question);
    let basis = events::last(conn)?;
    let search = Search {
        site,
        setup_revision: revision,
        request: &stretch,
        scenario: &checked,
        task: &task,
        parent: None,
    };
    let id = enqueue(conn, admission, &search)?;
    commitments::insert(conn, id, site, basis)?;
    Ok(commitments::load(conn, id, time::now())?.0)
}

/// What is held for others in the days looked at.
fn held(conn: &mut Connection, site: &Site, stretch: &PlanRequest) -> Result<Vec<Demand>, Refusal> {
    let timeline = stretch.horizon().timeline(site.time_zone);
    let end = timeline.stamp(timeline.end());
    let holds = commitments::holds(conn, &site.id, time::now())?;
    let lines: Result<Vec<Demand>, Refusal> = holds.iter().map(|hold| hold.line()).collect();
    let inside = |line: &Demand| stretch.start <= line.due && line.due <= end;
    Ok(lines?.into_iter().filter(inside).collect())
}

/// Cancels a commitment whose answer is still being searched.
pub(crate) fn cancel(conn: &mut Connection, id: PlanId) -> Result<Commitment, Refusal> {
    jobs::cancel_question(conn, id, Some(SearchKind::Commitment))?;
    Ok(commitments::load(conn, id, time::now())?.0)
}

/// Holds a commitment from now.
pub(crate) fn hold(
    conn: &mut Connection,
    id: PlanId,
    request: &HoldRequest,
) -> Result<Commitment, Refusal> {
    let now = time::now();
    let (commitment, basis) = commitments::load(conn, id, now)?;
    let until = request.until(now)?;
    commitment.admit_hold(request)?;
    if events::any_since(conn, &commitment.question.site, &BASIS, basis)? {
        return Err(Refusal::BasisChanged(id));
    }
    commitments::hold(conn, &commitment, until)?;
    Ok(commitments::load(conn, id, now)?.0)
}

/// Makes a booking of what is held.
pub(crate) fn accept(
    conn: &mut Connection,
    id: PlanId,
    request: &AcceptRequest,
) -> Result<Commitment, Refusal> {
    let now = time::now();
    let (commitment, _) = commitments::load(conn, id, now)?;
    let site = commitment.question.site.clone();
    if let Some(line) = commitment.admit_accept(request)? {
        let zone = sites::load(conn, &site)?.time_zone;
        let taken = demand::list(conn, &site, lines::Range::ALWAYS, zone)?;
        if taken.iter().any(|other| other.id == line.id) {
            let what = format!(
                "there is a line \"{}\" already; another name is allowed",
                line.id
            );
            return Err(Refusal::field("demand", what));
        }
        let setup = setup::latest(conn, &site)?.map(|found| found.document);
        lines::check_line(&line, setup.as_ref())?;
        demand::upsert(conn, &site, &line)?;
        commitments::accept(conn, &commitment, &line.id, request.by.clone())?;
    }
    Ok(commitments::load(conn, id, now)?.0)
}

/// Lets a commitment go.
pub(crate) fn release(
    conn: &mut Connection,
    id: PlanId,
    request: ReleaseRequest,
) -> Result<Commitment, Refusal> {
    let now = time::now();
    let (commitment, _) = commitments::load(conn, id, now)?;
    if commitment.admit_release()? {
        commitments::release(conn, &commitment, request.by)?;
    }
    Ok(commitments::load(conn, id, now)?.0)
}
