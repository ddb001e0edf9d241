//! One's own sessions and password, for people who are signed in.

use actix_web::{HttpRequest, HttpResponse, get, post, web};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use super::session::{Begun, Session, browser_of, open};
use crate::domain::Refusal;
use crate::domain::access::{
    Actor, ActorKind, EndSessions, Familiar, OwnSession, Password, PasswordChange, PersonId, Token,
};
use crate::hashing::Caller;
use crate::http::{Body, origin_of, refusals, session_of};
use crate::problem::{Kind, Problem, problems};
use crate::service::Service;
use crate::storage::{people, sessions};

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
    responses((status = 200, description = "Your sessions.", body = SessionList), ListProblems)
)]
#[get("/v1/session/all")]
pub(crate) async fn list_sessions(
    request: HttpRequest,
    service: web::Data<Service>,
    actor: Actor,
) -> Result<HttpResponse, Problem> {
    let sessions = match own(&request, &actor) {
        Ok(own) => list(&service, own).await?,
        Err(_) => Vec::new(),
    };
    Ok(HttpResponse::Ok().json(SessionList { sessions }))
}

/// End another of your sessions, or all but the one that asks; with your password.
#[utoipa::path(
    tag = "access",
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
    let sessions = end(&service, &request, &actor, asked).await?;
    Ok(HttpResponse::Ok().json(SessionList { sessions }))
}

/// Change your own password, with the one you have.
///
/// All your sessions end, and a new one begins in this browser: use its cookie and `csrf_token` from
/// then on.
#[utoipa::path(
    tag = "access",
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
    Ok(change(&service, &request, &actor, asked).await?.answer())
}

/// Who somebody is in a session.
#[derive(Clone)]
pub(crate) struct Own {
    person: PersonId,
    token: Token,
}

/// The person behind a request, and the session it shows.
pub(crate) fn own(request: &HttpRequest, actor: &Actor) -> Result<Own, Refusal> {
    let token = session_of(request).filter(|_| actor.kind == ActorKind::Person);
    let token = token.ok_or_else(|| {
        Refusal::forbidden("this is for people who are signed in, and a key was shown")
    })?;
    let person = PersonId::try_from(actor.id.clone()).map_err(Refusal::internal)?;
    Ok(Own { person, token })
}

/// The sessions somebody has.
pub(crate) async fn list(service: &Service, own: Own) -> Result<Vec<OwnSession>, Refusal> {
    let idle = service.session_idle;
    let listed = service.store.read(move |conn| {
        let listed = sessions::list(conn, own.person, &own.token, idle)?;
        Ok::<_, Refusal>(listed)
    });
    listed.await
}

/// Ends sessions, if the password is right.
pub(crate) async fn end(
    service: &Service,
    request: &HttpRequest,
    actor: &Actor,
    asked: EndSessions,
) -> Result<Vec<OwnSession>, Refusal> {
    let own = own(request, actor)?;
    convinced(service, request, actor, &own, asked.password).await?;
    let (ended, only) = (own.clone(), asked.session);
    service
        .store
        .write(move |conn| {
            let only = only.as_ref().map(|id| id.as_str());
            sessions::end_others(conn, ended.person, &ended.token, only)?;
            Ok::<_, Refusal>(())
        })
        .await?;
    list(service, own).await
}

/// Changes somebody's own password. Their sessions end, and one begins.
pub(crate) async fn change(
    service: &Service,
    request: &HttpRequest,
    actor: &Actor,
    asked: PasswordChange,
) -> Result<Begun, Refusal> {
    asked.check()?;
    let own = own(request, actor)?;
    let before = convinced(service, request, actor, &own, asked.password).await?;
    let name = actor.name.clone();
    let hashed = service.hashing.run(Caller::Known, move || {
        asked.new_password.hash("new_password", &name)
    });
    let hashed = hashed.await?;
    let (browser, secure) = (browser_of(request), service.secure_cookies);
    service
        .store
        .write(move |conn| {
            if people::password(conn, own.person)? != before {
                return Err(not_yours());
            }
            let device = browser.known_device(conn)?;
            people::set_password(conn, own.person, &hashed)?;
            let person = people::load(conn, own.person)?;
            open(conn, person, &browser, device, secure)
        })
        .await
}

/// What is kept of somebody's password, if it is the one they say.
async fn convinced(
    service: &Service,
    request: &HttpRequest,
    actor: &Actor,
    own: &Own,
    password: Password,
) -> Result<String, Refusal> {
    let session = Familiar::Device(own.token.id.clone());
    let address = origin_of(request).address;
    service
        .limits
        .count_sign_in(&actor.name, &address, &session)?;
    let person = own.person;
    let kept = service
        .store
        .read(move |conn| Ok::<_, Refusal>(people::password(conn, person)?))
        .await?;
    let compared = kept.clone();
    let right = service
        .hashing
        .run(Caller::Known, move || Ok(password.matches(&compared)))
        .await?;
    if right {
        return Ok(kept);
    }
    refusals::of_actor(service, request, actor, "own_password", Kind::BadSignIn);
    Err(not_yours())
}

fn not_yours() -> Refusal {
    Refusal::field("password", "it is not your password")
}
