//! Plans: what to do and when, made in the background.

mod floor;
mod progress;
mod publication;
mod readings;
mod replan;
mod work;

use actix_web::{HttpResponse, get, post, web};
use scheduler::scenario::Scenario;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use super::{accepted, cancelled};
use crate::app::plans::queue;
use crate::app::queue::fits;
use crate::domain::Refusal;
use crate::domain::page::PageSize;
use crate::domain::plans::{PlanId, PlanRequest, PlanResource, PlanSummary};
use crate::http::{Body, Params, SitePath, TypedPath};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::Connection;
use crate::storage::plans::jobs;
use crate::storage::{plans, sites};

problems! {
    RequestProblems: BadJson, BadPath, UnknownSite, NotReady, BodyTooLarge, UnsupportedMediaType,
        Invalid, NoDemand, TooManyOpen, Internal;
    ListProblems: BadPath, BadQuery, UnknownSite, Internal;
    ReadProblems: BadPath, UnknownPlan, Internal;
    CancelProblems: BadPath, UnknownPlan, PlanFinished, Internal;
}

/// A path that names a plan.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct PlanPath {
    /// The plan's id.
    #[param(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    pub(crate) plan: PlanId,
}

/// Where a plan is.
fn path_of(plan: &PlanResource) -> String {
    format!("/v1/plans/{}", plan.summary.id)
}

/// A site's plans.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PlanList {
    /// The plans, latest first, without their results.
    plans: Vec<PlanSummary>,
    /// What to send as `before` for the plans that follow; none at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    next: Option<PlanId>,
}

/// Where to go on in the list.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PageParams {
    /// Plans requested before this one.
    #[param(value_type = Option<String>, format = "uuid",
        example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    before: Option<PlanId>,
    /// At most this many plans; 100 where nothing is said.
    #[param(value_type = Option<u16>, minimum = 1, maximum = 500, example = 50)]
    limit: Option<PageSize>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(work::list_plan_work)
        .configure(floor::configure)
        .service(request_plan)
        .service(list_plans)
        .service(read_plan)
        .service(cancel_plan)
        .service(read_plan_scenario)
        .service(progress::stream_plan_progress)
        .configure(publication::configure)
        .configure(replan::configure)
        .service(readings::list_site_readings);
}

/// Request a plan.
///
/// It is made in the background, from the site, setup, stock and demand as they are now. Poll the
/// location until the state is `done`, `failed` or `cancelled`.
#[utoipa::path(
    tag = "plans",
    params(SitePath),
    request_body(content = PlanRequest, description = "Which days, and how long and far to search."),
    responses(
        (status = 202, description = "The plan is queued.", body = PlanResource, headers(
            ("Location" = String, description = "Path of the plan, to be polled."),
        )),
        RequestProblems
    )
)]
#[post("/v1/sites/{site}/plans")]
pub(crate) async fn request_plan(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Body(request): Body<PlanRequest>,
) -> Result<HttpResponse, Problem> {
    fits(&service, &site, &request).await?;
    let admission = service.admission();
    let queue = move |conn: &mut Connection| queue(conn, &admission, &site, &request);
    accepted(&service, queue, path_of).await
}

/// List a site's plans.
#[utoipa::path(
    tag = "plans",
    params(SitePath, PageParams),
    responses((status = 200, description = "Plans, latest first.", body = PlanList), ListProblems)
)]
#[get("/v1/sites/{site}/plans")]
pub(crate) async fn list_plans(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Params(PageParams { before, limit }): Params<PageParams>,
) -> Result<HttpResponse, Problem> {
    let limit = limit.unwrap_or_default();
    let mut found = service
        .store
        .read(move |conn| {
            let site = sites::load(conn, &id)?;
            Ok::<_, Refusal>(plans::list(
                conn,
                &id,
                before,
                limit.and_one(),
                site.time_zone,
            )?)
        })
        .await?;
    let next = limit.next(&mut found, |plan| plan.id);
    Ok(HttpResponse::Ok().json(PlanList { plans: found, next }))
}

/// Read a plan: how far it has come, and the plan itself once it is done.
#[utoipa::path(
    tag = "plans",
    params(PlanPath),
    responses((status = 200, description = "The plan.", body = PlanResource), ReadProblems)
)]
#[get("/v1/plans/{plan}")]
pub(crate) async fn read_plan(
    service: web::Data<Service>,
    TypedPath(PlanPath { plan: id }): TypedPath<PlanPath>,
) -> Result<HttpResponse, Problem> {
    let mut plan = service
        .store
        .read(move |conn| plans::load(conn, id))
        .await?;
    // A plan searched by this very process is known to the moment.
    if let Some(progress) = service.jobs.progress(id) {
        plan.summary.progress = progress;
    }
    Ok(HttpResponse::Ok().json(plan))
}

/// Cancel a plan that is queued or running.
///
/// A running search stops within a fifth of a second or so and keeps the best plan it has found.
#[utoipa::path(
    tag = "plans",
    params(PlanPath),
    responses(
        (status = 202, description = "It is cancelled, or about to be.", body = PlanResource),
        CancelProblems
    )
)]
#[post("/v1/plans/{plan}/cancel")]
pub(crate) async fn cancel_plan(
    service: web::Data<Service>,
    TypedPath(PlanPath { plan: id }): TypedPath<PlanPath>,
) -> Result<HttpResponse, Problem> {
    let cancel = move |conn: &mut Connection| {
        jobs::cancel(conn, id)?;
        plans::load(conn, id)
    };
    cancelled(&service, id, cancel).await
}

/// Read the scenario a plan was requested for: the very file `fizzwright plan` takes.
#[utoipa::path(
    tag = "plans",
    params(PlanPath),
    responses((status = 200, description = "The scenario.", body = Scenario), ReadProblems)
)]
#[get("/v1/plans/{plan}/scenario")]
pub(crate) async fn read_plan_scenario(
    service: web::Data<Service>,
    TypedPath(PlanPath { plan: id }): TypedPath<PlanPath>,
) -> Result<HttpResponse, Problem> {
    let scenario = service
        .store
        .read(move |conn| plans::scenario(conn, id))
        .await?;
    Ok(HttpResponse::Ok().json(scenario))
}
