//! Commitments: something more is asked for, held for a while, and accepted or let go.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::{accepted, cancelled, changed};
use crate::app;
use crate::app::queue::fits;
use crate::domain::commitments::{
    AcceptRequest, Commitment, CommitmentRequest, HoldRequest, ReleaseRequest,
};
use crate::domain::plans::PlanId;
use crate::domain::time;
use crate::http::{Body, SitePath, TypedPath};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, commitments};

problems! {
    AskProblems: BadJson, BadPath, UnknownSite, NotReady, BodyTooLarge, UnsupportedMediaType,
        Invalid, TooManyOpen, Internal;
    ReadProblems: BadPath, UnknownQuestion, Internal;
    CancelProblems: BadPath, UnknownQuestion, QuestionFinished, Internal;
    HoldProblems: BadJson, BadPath, UnknownQuestion, Unanswered, CannotBeTaken, WrongStanding,
        Outdated, BodyTooLarge, UnsupportedMediaType, Invalid, Internal;
    AcceptProblems: BadJson, BadPath, UnknownQuestion, Unanswered, WrongStanding, BodyTooLarge,
        UnsupportedMediaType, Invalid, Internal;
    ReleaseProblems: BadJson, BadPath, UnknownQuestion, WrongStanding, BodyTooLarge,
        UnsupportedMediaType, Invalid, Internal;
}

/// A path that names a commitment.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct CommitmentPath {
    /// The commitment's id.
    #[param(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    commitment: PlanId,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(ask_commitment)
        .service(read_commitment)
        .service(cancel_commitment)
        .service(hold_commitment)
        .service(accept_commitment)
        .service(release_commitment);
}

/// Ask whether something more can be taken for a service.
///
/// It is answered in the background, against everything that is wanted and held by now; poll the
/// location until the state is `done`. The answer says yes, yes if others yield, or no with the most
/// possible and the earliest time; what it costs; and which services it touches.
#[utoipa::path(
    tag = "commitments",
    params(SitePath),
    request_body(content = CommitmentRequest, description = "What is asked for, and the days around it."),
    responses(
        (status = 202, description = "The question is queued.", body = Commitment, headers(
            ("Location" = String, description = "Path of the commitment, to be polled."),
        )),
        AskProblems
    )
)]
#[post("/v1/sites/{site}/commitments")]
pub(crate) async fn ask_commitment(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Body(request): Body<CommitmentRequest>,
) -> Result<HttpResponse, Problem> {
    let (stretch, _) = request.clone().parts();
    fits(&service, &site, &stretch).await?;
    let admission = service.admission();
    let ask = move |conn: &mut Connection| app::commitments::ask(conn, &admission, &site, request);
    let path = |asked: &Commitment| format!("/v1/commitments/{}", asked.question.id);
    accepted(&service, ask, path).await
}

/// Read a commitment: its answer once there is one, and what became of it.
#[utoipa::path(
    tag = "commitments",
    params(CommitmentPath),
    responses((status = 200, description = "The commitment.", body = Commitment), ReadProblems)
)]
#[get("/v1/commitments/{commitment}")]
pub(crate) async fn read_commitment(
    service: web::Data<Service>,
    TypedPath(CommitmentPath { commitment: id }): TypedPath<CommitmentPath>,
) -> Result<HttpResponse, Problem> {
    let (mut commitment, _) = service
        .store
        .read(move |conn| commitments::load(conn, id, time::now()))
        .await?;
    if let Some(progress) = service.jobs.progress(id) {
        commitment.question.progress = progress;
    }
    Ok(HttpResponse::Ok().json(commitment))
}

/// Cancel a commitment whose answer is still being searched.
///
/// A running search stops within a fifth of a second or so; there is no answer then. To let go of
/// one that is answered, release it.
#[utoipa::path(
    tag = "commitments",
    params(CommitmentPath),
    responses(
        (status = 202, description = "It is cancelled, or about to be.", body = Commitment),
        CancelProblems
    )
)]
#[post("/v1/commitments/{commitment}/cancel")]
pub(crate) async fn cancel_commitment(
    service: web::Data<Service>,
    TypedPath(CommitmentPath { commitment: id }): TypedPath<CommitmentPath>,
) -> Result<HttpResponse, Problem> {
    cancelled(&service, id, move |conn| app::commitments::cancel(conn, id)).await
}

/// Hold a commitment for some minutes.
///
/// While it is held, other commitments are answered as if it were booked already. It can be held
/// only while nothing has changed that the answer rests on: demand, stock, setup, other holds.
/// Holding it again holds it from now.
#[utoipa::path(
    tag = "commitments",
    params(CommitmentPath),
    request_body(content = HoldRequest, description = "How long, and whether others may yield."),
    responses((status = 200, description = "It is held.", body = Commitment), HoldProblems)
)]
#[post("/v1/commitments/{commitment}/hold")]
pub(crate) async fn hold_commitment(
    service: web::Data<Service>,
    TypedPath(CommitmentPath { commitment: id }): TypedPath<CommitmentPath>,
    Body(request): Body<HoldRequest>,
) -> Result<HttpResponse, Problem> {
    changed(&service, move |conn| {
        app::commitments::hold(conn, id, &request)
    })
    .await
}

/// Accept a commitment that is held: it becomes a booking, under the caller's own reference.
#[utoipa::path(
    tag = "commitments",
    params(CommitmentPath),
    request_body(content = AcceptRequest, description = "The line of demand it becomes."),
    responses((status = 200, description = "It is booked.", body = Commitment), AcceptProblems)
)]
#[post("/v1/commitments/{commitment}/accept")]
pub(crate) async fn accept_commitment(
    service: web::Data<Service>,
    TypedPath(CommitmentPath { commitment: id }): TypedPath<CommitmentPath>,
    Body(request): Body<AcceptRequest>,
) -> Result<HttpResponse, Problem> {
    changed(&service, move |conn| {
        app::commitments::accept(conn, id, &request)
    })
    .await
}

/// Let a commitment go.
#[utoipa::path(
    tag = "commitments",
    params(CommitmentPath),
    request_body(content = ReleaseRequest, description = "Who lets it go."),
    responses((status = 200, description = "It is let go.", body = Commitment), ReleaseProblems)
)]
#[post("/v1/commitments/{commitment}/release")]
pub(crate) async fn release_commitment(
    service: web::Data<Service>,
    TypedPath(CommitmentPath { commitment: id }): TypedPath<CommitmentPath>,
    Body(request): Body<ReleaseRequest>,
) -> Result<HttpResponse, Problem> {
    changed(&service, move |conn| {
        app::commitments::release(conn, id, request)
    })
    .await
}
