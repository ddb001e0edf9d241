//! Replanning: a new plan from what has happened to the published one; and comparing two plans.

use actix_web::{HttpResponse, get, post, web};
use scheduler::answer::{Change, Difference, compare, difference};
use scheduler::scenario::Scenario;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use super::PlanPath;
use crate::domain::demand::Range;
use crate::domain::plans::{PlanId, PlanRequest, PlanResource};
use crate::domain::questions::Task;
use crate::domain::queue::Admission;
use crate::domain::replanning::{ReplanRequest, facts};
use crate::domain::{Refusal, time};
use crate::http::{Body, Params, TypedPath};
use crate::problem::{Problem, problems};
use crate::routes::queue::{accepted, enqueue};
use crate::service::Service;
use crate::storage::plans::{Made, lineage};
use crate::storage::{Connection, demand, plans, publications, setup};

problems! {
    ReplanProblems: BadJson, BadPath, UnknownPlan, PlanUnfinished, NotPublished, NotReady,
        BodyTooLarge, UnsupportedMediaType, Invalid, TooManyOpen, Internal;
    CompareProblems: BadPath, BadQuery, UnknownPlan, PlanUnfinished, Internal;
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(replan).service(compare_plans);
}

/// Request a new plan from what has happened to the published one.
///
/// What was recorded about its work is taken as fact: started work stays, and as little as possible
/// is moved. Work that should have begun and about which nothing was recorded is taken to have begun
/// as planned. Demand, setup and site are taken as they are now. It is made in the background like
/// any plan; poll the location. `replanning` then says what was changed and why. Publish it to work
/// by it.
#[utoipa::path(
    tag = "plans",
    params(PlanPath),
    request_body(content = ReplanRequest, description = "The present, what is late, what was \
        measured, and how long to search."),
    responses(
        (status = 202, description = "The new plan is queued.", body = PlanResource, headers(
            ("Location" = String, description = "Path of the new plan, to be polled."),
        )),
        ReplanProblems
    )
)]
#[post("/v1/plans/{plan}/replan")]
pub(crate) async fn replan(
    service: web::Data<Service>,
    TypedPath(PlanPath { plan }): TypedPath<PlanPath>,
    Body(request): Body<ReplanRequest>,
) -> Result<HttpResponse, Problem> {
    let admission = service.admission();
    let plan = service
        .store
        .write(move |conn| queue(conn, &admission, plan, &request))
        .await?;
    let path = format!("/v1/plans/{}", plan.summary.id);
    Ok(accepted(&service, path, &plan))
}

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
    let of = (&made.site.id, setup_revision);
    let id = enqueue(conn, admission, of, (&limits, &scenario), &task, Some(plan))?;
    plans::load(conn, id)
}

/// The scenario a plan was made for, with what is wanted and set up by now.
fn as_it_is_now(
    conn: &mut Connection,
    made: &Made,
) -> Result<(Scenario, crate::domain::Revision), Refusal> {
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

/// Which plan to compare with.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct CompareParams {
    /// The other plan: the one that comes after, so to speak.
    #[param(value_type = String, format = "uuid",
        example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    with: PlanId,
}

/// What differs between two plans.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Comparison {
    /// The plan that was compared.
    pub(crate) before: PlanId,
    /// The plan it was compared with.
    pub(crate) after: PlanId,
    /// Work that was moved, resized, dropped or added, in order of time; `why` is empty.
    pub(crate) changes: Vec<Change>,
    /// Work items that are the same in both.
    #[schema(minimum = 0, example = 61)]
    pub(crate) same: usize,
    /// Litres served, costs, materials and work: figures of the second plan less those of the first.
    pub(crate) difference: Difference,
}

/// Compare two plans: what moved, what was added or taken away, what is served more or less.
#[utoipa::path(
    tag = "plans",
    params(PlanPath, CompareParams),
    responses((status = 200, description = "What differs.", body = Comparison), CompareProblems)
)]
#[get("/v1/plans/{plan}/comparison")]
pub(crate) async fn compare_plans(
    service: web::Data<Service>,
    TypedPath(PlanPath { plan }): TypedPath<PlanPath>,
    Params(CompareParams { with }): Params<CompareParams>,
) -> Result<HttpResponse, Problem> {
    let (before, after) = service
        .store
        .read(move |conn| pair(conn, plan, with))
        .await?;
    Ok(HttpResponse::Ok().json(comparison(&before, &after)))
}

/// Two plans of one site.
pub(crate) fn pair(
    conn: &mut Connection,
    plan: PlanId,
    with: PlanId,
) -> Result<(Made, Made), Refusal> {
    let (before, after) = (plans::made(conn, plan)?, plans::made(conn, with)?);
    // Another site's plan is none of this site's business.
    if before.site.id != after.site.id {
        return Err(Refusal::UnknownPlan(with));
    }
    Ok((before, after))
}

/// What differs between two plans.
pub(crate) fn comparison(before: &Made, after: &Made) -> Comparison {
    let changes = compare(&before.plan, &after.plan);
    let touched = changes
        .iter()
        .filter(|change| change.from.is_some())
        .count();
    Comparison {
        before: before.summary.id,
        after: after.summary.id,
        same: before.plan.work.len().saturating_sub(touched),
        difference: difference(&before.plan, &after.plan),
        changes,
    }
}
