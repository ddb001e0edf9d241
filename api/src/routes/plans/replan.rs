//! Replanning: a new plan from what has happened to the published one; and comparing two plans.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::{PlanPath, path_of};
use crate::app::comparison::{comparison, pair};
use crate::app::replan::queue;
use crate::domain::comparison::Comparison;
use crate::domain::plans::{PlanId, PlanResource};
use crate::domain::replanning::ReplanRequest;
use crate::http::{Body, Params, TypedPath};
use crate::problem::{Problem, problems};
use crate::routes::accepted;
use crate::service::Service;
use crate::storage::Connection;

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
    let queue = move |conn: &mut Connection| queue(conn, &admission, plan, &request);
    accepted(&service, queue, path_of).await
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
