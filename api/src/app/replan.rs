//! Replanning: a new plan from what has happened to the published one.

use scheduler::scenario::Scenario;

use super::queue::{Search, enqueue};
use crate::domain::demand::Range;
use crate::domain::plans::{PlanId, PlanRequest, PlanResource};
use crate::domain::questions::Task;
use crate::domain::queue::Admission;
use crate::domain::replanning::{ReplanRequest, facts};
use crate::domain::{Refusal, Revision, time};
use crate::storage::plans::{Made, lineage};
use crate::storage::{Connection, demand, plans, publications, setup};

/// Queues a new plan from what was recorded about the published one.
pub(crate) fn queue(
    conn: &mut Connection,
    admission: &Admission,
    plan: PlanId,
    request: &ReplanRequest,
) -> Result<PlanResource, Refusal> {
    let made = plans::made(conn, plan)?;
    let site = &made.site;
    let current = publications::current(conn, &site.id, site.time_zone)?;
    if current.is_none_or(|current| current.plan != plan) {
        return Err(Refusal::NotPublished(plan));
    }
    let recorded = lineage::recorded(conn, plan, &made)?;
    let clock = time::now().with_timezone(&site.time_zone).fixed_offset();
    let facts = facts(request, (&made.plan, &made.scenario), &recorded, clock)?;
    let limits = PlanRequest {
        time_limit_s: request.time_limit_s,
        gap: request.gap,
        ..made.summary.request.clone()
    };
    let (scenario, setup_revision) = as_it_is_now(conn, &made)?;
    let task = Task::Replan {
        published: Box::new(made.plan),
        facts,
    };
    let search = Search {
        site: &made.site.id,
        setup_revision,
        request: &limits,
        scenario: &scenario,
        task: &task,
        parent: Some(plan),
    };
    let id = enqueue(conn, admission, &search)?;
    plans::load(conn, id)
}

/// The scenario a plan was made for, with what is wanted and set up by now.
fn as_it_is_now(conn: &mut Connection, made: &Made) -> Result<(Scenario, Revision), Refusal> {
    let site = &made.site;
    let latest = setup::load(conn, &site.id)?;
    let range = Range {
        from: Some(made.plan.start),
        to: Some(made.plan.end),
    };
    let scenario = Scenario {
        site: site.clone(),
        setup: latest.document.setup,
        policy: latest.document.policy,
        demand: demand::list(conn, &site.id, range, site.time_zone)?,
        ..made.scenario.clone()
    };
    let checked = scenario.check()?;
    Ok((checked.into_inner(), latest.revision))
}
