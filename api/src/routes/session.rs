//! Signing in and out, for people in front of a browser.

use actix_web::cookie::time::Duration;
use actix_web::cookie::{Cookie, SameSite};
use actix_web::{HttpRequest, HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use scheduler::scenario::SiteId;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::Refusal;
use crate::domain::access::{Actor, ActorKind, PersonView, Scope, SignIn, Token, verify_nobody};
use crate::http::{Body, CSRF, SESSION_COOKIE, session_of, slow};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::people;

problems! {
    SignInProblems: BadJson, BadSignIn, BodyTooLarge, UnsupportedMediaType, Invalid, TooMany,
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
/// The answer sets a cookie that scripts cannot read. It lasts twelve hours.
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
    service: web::Data<Service>,
    Body(asked): Body<SignIn>,
) -> Result<HttpResponse, Problem> {
    let begun = begin(&service, asked).await?;
    Ok(HttpResponse::Ok().cookie(begun.cookie).json(Session {
        person: begun.person,
        csrf_token: begun.token.derived(CSRF),
        expires_at: begun.expires_at,
    }))
}

/// A session that was begun, and the cookie that holds it.
pub(crate) struct Begun {
    person: PersonView,
    token: Token,
    expires_at: DateTime<Utc>,
    pub(crate) cookie: Cookie<'static>,
}

/// Begins a session for somebody who knows their password.
pub(crate) async fn begin(service: &Service, asked: SignIn) -> Result<Begun, Refusal> {
    service.limits.count_sign_in(&asked.name)?;
    let name = asked.name;
    let found = service
        .store
        .read(move |conn| Ok::<_, Refusal>(people::by_name(conn, &name)?))
        .await?;
    let password = asked.password;
    let person = slow(move || match found {
        Some((person, kept)) if password.matches(&kept) => Ok(person),
        Some(_) => Err(Refusal::BadSignIn),
        None => {
            verify_nobody(&password);
            Err(Refusal::BadSignIn)
        }
    })
    .await?;
    let token = Token::new(Token::SESSION)?;
    let (id, kept) = (person.id, token.clone());
    let expires_at = service
        .store
        .write(move |conn| Ok::<_, Refusal>(people::sign_in(conn, id, &kept)?))
        .await?;
    let seconds = people::SESSION.num_seconds();
    let cookie = cookie(service, token.reveal(), Duration::seconds(seconds));
    Ok(Begun {
        person,
        token,
        expires_at,
        cookie,
    })
}

/// Read who you are to the service, with a key as well as in a session.
#[utoipa::path(
    tag = "access",
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
    let gone = end(&service, &request).await?;
    Ok(HttpResponse::NoContent().cookie(gone).finish())
}

/// Ends the session a request shows, and takes its cookie back.
pub(crate) async fn end(
    service: &Service,
    request: &HttpRequest,
) -> Result<Cookie<'static>, Refusal> {
    if let Some(token) = session_of(request) {
        service
            .store
            .write(move |conn| Ok::<_, Refusal>(people::sign_out(conn, &token)?))
            .await?;
    }
    Ok(cookie(service, String::new(), Duration::ZERO))
}

fn cookie(service: &Service, text: String, age: Duration) -> Cookie<'static> {
    Cookie::build(SESSION_COOKIE, text)
        .path("/")
        .http_only(true)
        .secure(service.secure_cookies)
        .same_site(SameSite::Lax)
        .max_age(age)
        .finish()
}
