//! Questions about plans that are answered in the background: what if, and how sure.

use actix_web::{HttpResponse, get, post, web};
use chrono::{DateTime, FixedOffset};
use scheduler::answer::{ConfidenceQuestion, ScenarioChange, WhatIfQuestion};
use scheduler::scenario::Grid;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use super::plans::PlanPath;
use super::{accepted, cancelled};
use crate::app;
use crate::domain::plans::{Gap, PlanId, PlanRequest, TimeLimit};
use crate::domain::questions::Question;
use crate::http::{Body, SitePath, TypedPath};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::Connection;
use crate::storage::plans::questions;

problems! {
    AskProblems: BadJson, BadPath, UnknownSite, NotReady, BodyTooLarge, UnsupportedMediaType,
        Invalid, NoDemand, TooManyOpen, Internal;
    ConfidenceProblems: BadJson, BadPath, UnknownPlan, PlanUnfinished, BodyTooLarge,
        UnsupportedMediaType, Invalid, TooManyOpen, Internal;
    ReadProblems: BadPath, UnknownQuestion, Internal;
    CancelProblems: BadPath, UnknownQuestion, QuestionFinished, Internal;
}

/// A path that names a question.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct QuestionPath {
    /// The question's id.
    #[param(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    pub(crate) question: PlanId,
}

/// Changes to the site's scenario, each solved by itself.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WhatIfRequest {
    /// First instant (RFC 3339 with an offset), on a full grid step of the site's clock.
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    start: DateTime<FixedOffset>,
    /// Days by the site's clock.
    #[schema(minimum = 1, maximum = 56, example = 7)]
    days: u8,
    /// Minutes of a step.
    grid_minutes: Grid,
    /// The changes; each is made to the scenario by itself.
    #[schema(min_items = 1, max_items = 20)]
    changes: Vec<ScenarioChange>,
    /// Seconds to search at most for each; 60 where nothing is said.
    #[serde(default)]
    time_limit_s: Option<TimeLimit>,
    /// Good enough: part of the bound; 0.001 where nothing is said.
    #[serde(default)]
    gap: Option<Gap>,
}

/// Where a question is.
fn path_of(question: &Question) -> String {
    format!("/v1/questions/{}", question.id)
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(ask_what_if)
        .service(ask_confidence)
        .service(read_question)
        .service(cancel_question);
}

/// Ask what changes to the site's scenario would make different.
///
/// The plan as it is and with each change is searched in the background; poll the location.
#[utoipa::path(
    tag = "questions",
    params(SitePath),
    request_body(content = WhatIfRequest, description = "The days, and the changes."),
    responses(
        (status = 202, description = "The question is queued.", body = Question, headers(
            ("Location" = String, description = "Path of the question, to be polled."),
        )),
        AskProblems
    )
)]
#[post("/v1/sites/{site}/what-if")]
pub(crate) async fn ask_what_if(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Body(request): Body<WhatIfRequest>,
) -> Result<HttpResponse, Problem> {
    let stretch = PlanRequest {
        start: request.start,
        days: request.days,
        grid_minutes: request.grid_minutes,
        time_limit_s: request.time_limit_s,
        gap: request.gap,
    };
    let asked = WhatIfQuestion {
        changes: request.changes,
    };
    let task = app::questions::what_if(&service, &site, &stretch, asked).await?;
    let admission = service.admission();
    let ask = move |conn: &mut Connection| {
        app::questions::queue(conn, &admission, &site, &stretch, &task)
    };
    accepted(&service, ask, path_of).await
}

/// Ask how sure a plan is: it is replayed many times with everything varied by stated spreads.
///
/// The replays are made in the background; poll the location.
#[utoipa::path(
    tag = "questions",
    params(PlanPath),
    request_body(content = ConfidenceQuestion, description = "How often to replay, and how far things may \
        be off; what is left out has its usual value."),
    responses(
        (status = 202, description = "The question is queued.", body = Question, headers(
            ("Location" = String, description = "Path of the question, to be polled."),
        )),
        ConfidenceProblems
    )
)]
#[post("/v1/plans/{plan}/confidence")]
pub(crate) async fn ask_confidence(
    service: web::Data<Service>,
    TypedPath(PlanPath { plan }): TypedPath<PlanPath>,
    Body(question): Body<ConfidenceQuestion>,
) -> Result<HttpResponse, Problem> {
    let admission = service.admission();
    let ask =
        move |conn: &mut Connection| app::questions::confidence(conn, &admission, plan, question);
    accepted(&service, ask, path_of).await
}

/// Read a question, and its answer once there is one.
#[utoipa::path(
    tag = "questions",
    params(QuestionPath),
    responses((status = 200, description = "The question.", body = Question), ReadProblems)
)]
#[get("/v1/questions/{question}")]
pub(crate) async fn read_question(
    service: web::Data<Service>,
    TypedPath(QuestionPath { question: id }): TypedPath<QuestionPath>,
) -> Result<HttpResponse, Problem> {
    let mut question = service
        .store
        .read(move |conn| questions::load(conn, id))
        .await?;
    if let Some(progress) = service.jobs.progress(id) {
        question.progress = progress;
    }
    Ok(HttpResponse::Ok().json(question))
}

/// Cancel a question that is queued or running.
///
/// A running search stops within a fifth of a second or so; there is no answer then.
#[utoipa::path(
    tag = "questions",
    params(QuestionPath),
    responses(
        (status = 202, description = "It is cancelled, or about to be.", body = Question),
        CancelProblems
    )
)]
#[post("/v1/questions/{question}/cancel")]
pub(crate) async fn cancel_question(
    service: web::Data<Service>,
    TypedPath(QuestionPath { question: id }): TypedPath<QuestionPath>,
) -> Result<HttpResponse, Problem> {
    cancelled(&service, id, move |conn| app::questions::cancel(conn, id)).await
}
