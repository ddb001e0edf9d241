//! What is worked out in the background: queued with its scenario, answered with where to look.

use actix_web::HttpResponse;
use actix_web::http::header::LOCATION;
use scheduler::scenario::{Checked, Scenario, SiteId};
use serde::Serialize;

use crate::domain::plans::{PlanId, PlanRequest};
use crate::domain::questions::Task;
use crate::domain::scenario::assemble;
use crate::domain::{Refusal, Revision};
use crate::service::Service;
use crate::storage::plans::NewPlan;
use crate::storage::{Connection, plans, scenario};

/// The scenario of a request, in which something is wanted.
pub(super) fn wanted(
    conn: &mut Connection,
    site: &SiteId,
    request: &PlanRequest,
) -> Result<(Checked, Revision), Refusal> {
    let horizon = request.horizon();
    let known = scenario::known(conn, site, &horizon)?;
    let (checked, revision) = assemble(known, horizon)?;
    if checked.demand.is_empty() {
        return Err(Refusal::NoDemand);
    }
    Ok((checked, revision))
}

/// Queues a task.
pub(super) fn enqueue(
    conn: &mut Connection,
    (site, setup_revision): (&SiteId, Revision),
    (request, scenario): (&PlanRequest, &Scenario),
    task: &Task,
    parent: Option<PlanId>,
) -> Result<PlanId, Refusal> {
    let id = PlanId::new();
    plans::insert(
        conn,
        &NewPlan {
            id,
            site,
            setup_revision,
            request,
            scenario,
            task,
            parent,
        },
    )?;
    Ok(id)
}

/// Wakes the workers and says where to look.
pub(super) fn accepted(service: &Service, path: String, body: &impl Serialize) -> HttpResponse {
    service.jobs.wake();
    HttpResponse::Accepted()
        .insert_header((LOCATION, path))
        .json(body)
}
