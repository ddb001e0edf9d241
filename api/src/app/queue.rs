//! What is worked out in the background: checked, and queued with its scenario.

use scheduler::check::Checked;
use scheduler::scenario::{Scenario, SiteId};

use crate::blocking::slow;
use crate::domain::plans::{PlanId, PlanRequest, PlanSummary};
use crate::domain::questions::Task;
use crate::domain::queue::Admission;
use crate::domain::scenario::assemble;
use crate::domain::{Refusal, Revision};
use crate::service::Service;
use crate::storage::plans::{NewPlan, jobs};
use crate::storage::{Connection, plans, scenario};

/// The scenario of a request, in which something is wanted.
pub(crate) fn wanted(
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

/// Refuses days whose search would take too much memory, before anything is written.
pub(crate) async fn fits(
    service: &Service,
    site: &SiteId,
    request: &PlanRequest,
) -> Result<(), Refusal> {
    let (site, horizon) = (site.clone(), request.horizon());
    let checked = service
        .store
        .read(move |conn| {
            let known = scenario::known(conn, &site, &horizon)?;
            Ok::<_, Refusal>(assemble(known, horizon)?.0)
        })
        .await?;
    let bounds = service.bounds;
    slow(move || bounds.check_size(&checked)).await
}

/// What is to be searched, and about what.
pub(crate) struct Search<'a> {
    pub(crate) site: &'a SiteId,
    pub(crate) setup_revision: Revision,
    pub(crate) request: &'a PlanRequest,
    pub(crate) scenario: &'a Scenario,
    pub(crate) task: &'a Task,
    /// The plan it is about, if it is about one.
    pub(crate) parent: Option<PlanId>,
}

impl<'a> Search<'a> {
    /// About the scenario a plan was made from.
    pub(crate) fn about(plan: &'a PlanSummary, scenario: &'a Scenario, task: &'a Task) -> Self {
        Self {
            site: &plan.site,
            setup_revision: plan.setup_revision,
            request: &plan.request,
            scenario,
            task,
            parent: Some(plan.id),
        }
    }
}

/// Queues a search, within the bounds of whoever asks.
pub(crate) fn enqueue(
    conn: &mut Connection,
    admission: &Admission,
    search: &Search<'_>,
) -> Result<PlanId, Refusal> {
    admission.bounds.check(search.request)?;
    admitted(conn, admission, search.site)?;
    let id = PlanId::new();
    plans::insert(
        conn,
        &NewPlan {
            id,
            site: search.site,
            setup_revision: search.setup_revision,
            request: search.request,
            scenario: search.scenario,
            task: search.task,
            parent: search.parent,
            caller: admission.caller.as_deref(),
        },
    )?;
    Ok(id)
}

/// Refuses one more search where too many are open already, of the site or of the caller.
fn admitted(conn: &mut Connection, admission: &Admission, site: &SiteId) -> Result<(), Refusal> {
    let (of_site, of_caller) = jobs::open(conn, site, admission.caller.as_deref())?;
    let bounds = &admission.bounds;
    for (whose, open, most) in [
        ("this site", of_site, bounds.open_per_site),
        ("this key or person", of_caller, bounds.open_per_caller),
    ] {
        if open >= i64::from(most) {
            return Err(Refusal::TooManyOpen { whose, open, most });
        }
    }
    Ok(())
}
