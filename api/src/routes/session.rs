//! Signing in and out, for people in front of a browser.

use actix_web::{HttpRequest, HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use scheduler::scenario::SiteId;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::app::sessions::BegunSession;
use crate::domain::access::{Actor, ActorKind, PersonView, Scope, SignIn};
use crate::http::{
    Body, CSRF, attempt_of, ended_session_cookie, session_cookies, session_of, shown_once,
};
use crate::problem::{Problem, problems};
use crate::service::Service;

problems! {
    SignInProblems: BadJson, BadSignIn, BodyTooLarge, UnsupportedMediaType, Invalid, TooMany, Busy,
        Internal;
    SessionProblems: Internal;
}

/// A session that has begun.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Session {
    /// Who signed in.
    person: PersonView,
    /// To be sent as `X-CSRF-Token` with every request of this session that may change something.
    #[schema(example = "9b1c…")]
    csrf_token: String,
    /// When the session ends by itself (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T20:00:00Z")]
    expires_at: DateTime<Utc>,
}

/// Who somebody is to the service.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WhoAmI {
    /// A key or a person.
    kind: ActorKind,
    /// The name of the key or person.
    #[schema(example = "Ines")]
    name: String,
    /// What they may do.
    scopes: Vec<Scope>,
    /// The only sites they may see; all where nothing is said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Vec<String>>, example = json!(["harbour-bar"]))]
    sites: Option<Vec<SiteId>>,
    /// For a session: what to send as `X-CSRF-Token`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "9b1c…")]
    csrf_token: Option<String>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(sign_in).service(read_session).service(sign_out);
}

/// Sign in with name and password.
///
/// The answer sets a cookie that scripts cannot read. The session lasts twelve hours, unless it is
/// idle for longer than the service is set to allow (two hours). A second cookie makes the browser
/// known: who guesses the password elsewhere does not lock it out. A session the browser had ends.
#[utoipa::path(
    tag = "access",
    security(()),
    request_body(content = SignIn, description = "Name and password."),
    responses(
        (status = 200, description = "The session has begun.", body = Session, headers(
            ("Set-Cookie" = String, description = "The session."),
        )),
        SignInProblems
    )
)]
#[post("/v1/session")]
pub(crate) async fn sign_in(
    request: HttpRequest,
    service: web::Data<Service>,
    Body(asked): Body<SignIn>,
) -> Result<HttpResponse, Problem> {
    let begun = app::sessions::begin(&service, attempt_of(&request), asked).await?;
    Ok(answer(&service, begun))
}

/// Read who you are to the service, with a key as well as in a session.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    responses((status = 200, description = "Who you are.", body = WhoAmI), SessionProblems)
)]
#[get("/v1/session")]
pub(crate) async fn read_session(request: HttpRequest, actor: Actor) -> HttpResponse {
    let csrf_token = session_of(&request)
        .filter(|_| actor.kind == ActorKind::Person)
        .map(|token| token.derived(CSRF));
    HttpResponse::Ok().json(WhoAmI {
        kind: actor.kind,
        name: actor.name,
        scopes: actor.grant.scopes,
        sites: actor.grant.sites,
        csrf_token,
    })
}

/// Sign out. With a key, nothing happens.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["read"])),
    responses(
        (status = 204, description = "The session has ended.", headers(
            ("Set-Cookie" = String, description = "The cookie is taken back."),
        )),
        SessionProblems
    )
)]
#[delete("/v1/session")]
pub(crate) async fn sign_out(
    request: HttpRequest,
    service: web::Data<Service>,
) -> Result<HttpResponse, Problem> {
    app::sessions::end(&service.store, session_of(&request)).await?;
    let gone = ended_session_cookie(service.secure_cookies);
    Ok(HttpResponse::NoContent().cookie(gone).finish())
}

/// The answer to whoever began a session.
pub(super) fn answer(service: &Service, begun: BegunSession) -> HttpResponse {
    let mut response = HttpResponse::Ok();
    for cookie in session_cookies(service.secure_cookies, &begun.token, &begun.device) {
        response.cookie(cookie);
    }
    shown_once(response.json(Session {
        csrf_token: begun.token.derived(CSRF),
        person: begun.person,
        expires_at: begun.expires_at,
    }))
}
