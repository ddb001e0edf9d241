//! One's own sessions and password, for people who are signed in.

use actix_web::{HttpRequest, HttpResponse, get, post, web};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use super::session::{Session, answer};
use crate::app;
use crate::app::own_sessions::Own;
use crate::domain::access::{Actor, EndSessions, OwnSession, PasswordChange};
use crate::http::{Body, attempt_of, session_of};
use crate::problem::{Problem, problems};
use crate::service::Service;

problems! {
    ListProblems: Internal;
    EndProblems: BadJson, BodyTooLarge, UnsupportedMediaType, Invalid, Busy, Internal;
    ChangeProblems: BadJson, BodyTooLarge, UnsupportedMediaType, Invalid, Busy, Internal;
}

/// The sessions somebody has.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SessionList {
    /// Those that last, the latest first.
    sessions: Vec<OwnSession>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_sessions)
        .service(end_sessions)
        .service(change_own_password);
}

/// List your own sessions. A key has none.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    responses((status = 200, description = "Your sessions.", body = SessionList), ListProblems)
)]
#[get("/v1/session/all")]
pub(crate) async fn list_sessions(
    request: HttpRequest,
    service: web::Data<Service>,
    actor: Actor,
) -> Result<HttpResponse, Problem> {
    let sessions = match Own::of(&actor, session_of(&request)) {
        Ok(own) => app::own_sessions::list(&service, own).await?,
        Err(_) => Vec::new(),
    };
    Ok(HttpResponse::Ok().json(SessionList { sessions }))
}

/// End another of your sessions, or all but the one that asks; with your password.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["read"])),
    request_body(content = EndSessions, description = "Your password, and which session."),
    responses(
        (status = 200, description = "The sessions that go on.", body = SessionList),
        EndProblems
    )
)]
#[post("/v1/session/all/end")]
pub(crate) async fn end_sessions(
    request: HttpRequest,
    service: web::Data<Service>,
    actor: Actor,
    Body(asked): Body<EndSessions>,
) -> Result<HttpResponse, Problem> {
    let sessions = app::own_sessions::end(&service, &actor, attempt_of(&request), asked).await?;
    Ok(HttpResponse::Ok().json(SessionList { sessions }))
}

/// Change your own password, with the one you have.
///
/// All your sessions end, and a new one begins in this browser: use its cookie and `csrf_token` from
/// then on.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["read"])),
    request_body(content = PasswordChange, description = "The password so far, and the new one."),
    responses(
        (status = 200, description = "The new session.", body = Session, headers(
            ("Set-Cookie" = String, description = "The session."),
        )),
        ChangeProblems
    )
)]
#[post("/v1/session/password")]
pub(crate) async fn change_own_password(
    request: HttpRequest,
    service: web::Data<Service>,
    actor: Actor,
    Body(asked): Body<PasswordChange>,
) -> Result<HttpResponse, Problem> {
    let begun = app::own_sessions::change(&service, &actor, attempt_of(&request), asked).await?;
    Ok(answer(&service, begun))
}
