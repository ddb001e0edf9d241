//! Signing in and out, for people in front of a browser.

use actix_web::cookie::Cookie;
use actix_web::http::header::USER_AGENT;
use actix_web::{HttpRequest, HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use scheduler::scenario::SiteId;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::Refusal;
use crate::domain::access::{
    Actor, ActorKind, Browser, Familiar, Origin, PersonId, PersonView, SESSION, Scope, SignIn,
    Token, agent, verify_nobody,
};
use crate::domain::audit::{Noted, Who};
use crate::domain::time;
use crate::hashing::Caller;
use crate::http::{
    Body, CSRF, RequestId, device_cookie, origin_of, refusals, session_cookie, session_of,
    shown_once,
};
use crate::problem::{Kind, Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, audit, familiar, people, sessions};

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
    let begun = begin(&service, &request, asked).await?;
    Ok(begun.answer())
}

/// A session that was begun, and the cookies that hold it and its browser.
pub(crate) struct Begun {
    person: PersonView,
    token: Token,
    expires_at: DateTime<Utc>,
    pub(crate) cookies: [Cookie<'static>; 2],
}

impl Begun {
    /// The answer to whoever began it.
    pub(super) fn answer(self) -> HttpResponse {
        let mut response = HttpResponse::Ok();
        for cookie in self.cookies {
            response.cookie(cookie);
        }
        shown_once(response.json(Session {
            csrf_token: self.token.derived(CSRF),
            person: self.person,
            expires_at: self.expires_at,
        }))
    }
}

/// Begins a session for somebody who knows their password. One that the same browser had ends.
pub(crate) async fn begin(
    service: &Service,
    request: &HttpRequest,
    asked: SignIn,
) -> Result<Begun, Refusal> {
    asked.check()?;
    let browser = browser_of(request);
    let mut tried = None;
    let convinced = convinced(service, &browser.origin, asked, &mut tried).await;
    let person = convinced.inspect_err(|refusal| {
        refusals::of_sign_in(service, request, tried, Kind::of(refusal));
    })?;
    let noted = Noted::new(Who::from(&person), "sign_in", None).at(
        request.method().as_str(),
        request.path(),
        RequestId::of(request),
    );
    let secure = service.secure_cookies;
    let begun = service.store.write(move |conn| {
        audit::note(conn, &noted)?;
        let device = browser.known_device(conn)?;
        open(conn, person, &browser, device, secure)
    });
    begun.await
}

/// The browser a request comes from.
pub(super) fn browser_of(request: &HttpRequest) -> Browser {
    let said = request.headers().get(USER_AGENT);
    Browser {
        origin: origin_of(request),
        agent: said.and_then(|said| said.to_str().ok()).map(agent),
        session: session_of(request),
    }
}

impl Browser {
    /// The token of the browser, if this service gave it out: several people may share a browser.
    pub(super) fn known_device(&self, conn: &mut Connection) -> Result<Option<Token>, Refusal> {
        match &self.origin.device {
            Some(device) if familiar::issued(conn, device)? => Ok(Some(device.clone())),
            _ => Ok(None),
        }
    }
}

/// Opens a session in a browser, which is known to be that person's from then on.
pub(super) fn open(
    conn: &mut Connection,
    person: PersonView,
    browser: &Browser,
    device: Option<Token>,
    secure: bool,
) -> Result<Begun, Refusal> {
    let token = Token::new(Token::SESSION)?;
    let device = device.map_or_else(|| Token::new(Token::DEVICE), Ok)?;
    familiar::remember(
        conn,
        person.id,
        &device,
        &browser.origin.address,
        time::now(),
    )?;
    let expires_at = sessions::begin(conn, person.id, &token, browser)?;
    let session = session_cookie(secure, token.reveal(), SESSION.num_seconds());
    Ok(Begun {
        person,
        token,
        expires_at,
        cookies: [
            session,
            device_cookie(secure, &device, familiar::KEPT.num_seconds()),
        ],
    })
}

/// The person of a name, if the password is theirs. What tries there may be is asked before
/// anything is hashed. `tried` is told whose name it is, for the trail.
async fn convinced(
    service: &Service,
    origin: &Origin,
    asked: SignIn,
    tried: &mut Option<PersonId>,
) -> Result<PersonView, Refusal> {
    let SignIn { name, password } = asked;
    let stranger = origin.device.is_none();
    if stranger {
        service.limits.count_sign_in_there(&origin.network)?;
    } else {
        // To look at a token is cheap, but not for nothing.
        service.limits.count_stranger(&origin.network)?;
    }
    let (called, from) = (name.clone(), origin.clone());
    let (found, place) = service
        .store
        .read(move |conn| {
            let found = people::by_name(conn, &called)?;
            let place = match &found {
                Some((person, _)) => familiar::known(conn, person.id, &from, time::now())?,
                None => Familiar::No,
            };
            Ok::<_, Refusal>((found, place))
        })
        .await?;
    *tried = found.as_ref().map(|(person, _)| person.id);
    if !stranger && !matches!(place, Familiar::Device(_)) {
        service.limits.count_sign_in_there(&origin.network)?;
    }
    service
        .limits
        .count_sign_in(&name, &origin.network, &place)?;
    let caller = match place {
        Familiar::No => Caller::Stranger,
        Familiar::Device(_) | Familiar::Address => Caller::Known,
    };
    let checked = service.hashing.run(caller, move || match found {
        Some((person, kept)) if password.matches(&kept) && person.lasts_at(time::now()) => {
            Ok(person)
        }
        Some(_) => Err(Refusal::BadSignIn),
        None => {
            verify_nobody(&password);
            Err(Refusal::BadSignIn)
        }
    });
    checked.await
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
            .write(move |conn| Ok::<_, Refusal>(sessions::end(conn, &token)?))
            .await?;
    }
    Ok(session_cookie(service.secure_cookies, String::new(), 0))
}
