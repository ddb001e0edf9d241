//! Who sent a request: the key or the session it shows.

use std::future::{Ready, ready};

use actix_web::dev::{Payload, ServiceRequest};
use actix_web::http::header::{AUTHORIZATION, HeaderName};
use actix_web::{FromRequest, HttpMessage, HttpRequest};

use crate::domain::access::{Actor, Token};
use crate::domain::{Refusal, time};
use crate::problem::{Kind, Problem};
use crate::service::Service;
use crate::storage::{keys, people};

/// The cookie that holds a session.
pub(crate) const SESSION_COOKIE: &str = "fizzwright_session";

/// What the second secret of a session is for: another site can make a browser send the cookie,
/// but it cannot read this.
pub(crate) const CSRF: &str = "csrf";

const CSRF_TOKEN: HeaderName = HeaderName::from_static("x-csrf-token");

/// The actor the guard has recognised. Handlers that take one are never reached without.
impl FromRequest for Actor {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let actor = request.extensions().get::<Self>().cloned();
        ready(actor.ok_or_else(|| nobody("no key found")))
    }
}

/// The session a request shows, if it shows one.
pub(crate) fn session_of(request: &HttpRequest) -> Option<Token> {
    let cookie = request.cookie(SESSION_COOKIE)?;
    Token::parse(Token::SESSION, cookie.value())
}

/// Nobody was recognised.
fn nobody(found: &str) -> Problem {
    Problem::new(
        Kind::Unauthenticated,
        format!("{found}; send an API key as Authorization: Bearer KEY, or sign in"),
    )
}

/// Who shows a key.
async fn key(service: &Service, token: Token) -> Result<Actor, Problem> {
    let asked = match service.known.find(&token) {
        Ok(actor) => return Ok(actor),
        Err(asked) => asked,
    };
    let shown = token.clone();
    let found = service
        .store
        .read(move |conn| Ok::<_, Refusal>(keys::recognise(conn, &shown, time::now())?))
        .await?;
    let actor = found.ok_or_else(|| nobody("this key is unknown, has expired or was revoked"))?;
    service.known.keep(asked, &token, &actor);
    Ok(actor)
}

/// What a request shows, to be recognised by.
#[derive(Debug, Clone)]
enum Shown {
    Key(Token),
    Session(Token),
}

impl Shown {
    fn of(request: &HttpRequest) -> Result<Self, Problem> {
        if let Some(shown) = request.headers().get(AUTHORIZATION) {
            let text = shown.to_str().unwrap_or_default();
            let token = text
                .split_once(' ')
                .filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"))
                .and_then(|(_, token)| Token::parse(Token::KEY, token.trim()));
            let token = token.ok_or_else(|| nobody("Authorization holds no API key"))?;
            return Ok(Self::Key(token));
        }
        let token =
            session_of(request).ok_or_else(|| nobody("neither a key nor a session found"))?;
        Ok(Self::Session(token))
    }

    /// Who shows it, as things are now.
    async fn recognised(self, service: &Service) -> Result<Actor, Problem> {
        let token = match self {
            Self::Key(token) => return key(service, token).await,
            Self::Session(token) => token,
        };
        let found = service
            .store
            .read(move |conn| Ok::<_, Refusal>(people::recognise(conn, &token, time::now())?))
            .await?;
        found.ok_or_else(|| nobody("this session has ended"))
    }
}

/// Who sent a request. `unsafe_method` is whether it may change something.
pub(crate) async fn recognise(
    service: &Service,
    request: &ServiceRequest,
    unsafe_method: bool,
) -> Result<Actor, Problem> {
    let shown = Shown::of(request.request())?;
    if let Shown::Session(token) = &shown {
        let given = request.headers().get(CSRF_TOKEN);
        let given = given.and_then(|value| value.to_str().ok());
        if unsafe_method && given != Some(token.derived(CSRF).as_str()) {
            return Err(Problem::new(
                Kind::CsrfRequired,
                "X-CSRF-Token is missing or wrong; send the csrf_token that signing in returned",
            ));
        }
    }
    shown.recognised(service).await
}

/// What somebody was let in with, for answers that go on for long.
#[derive(Debug, Clone)]
pub(crate) struct Standing {
    shown: Shown,
    actor: Actor,
}

impl Standing {
    /// Whether they would be let in now, with the same rights. Where nobody can tell, they would not.
    pub(super) async fn holds(&self, service: &Service) -> bool {
        let now = self.shown.clone().recognised(service).await;
        now.is_ok_and(|now| now.id == self.actor.id && now.grant == self.actor.grant)
    }
}

impl FromRequest for Standing {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let actor = request.extensions().get::<Actor>().cloned();
        let actor = actor.ok_or_else(|| nobody("no key found"));
        ready(actor.and_then(|actor| {
            let shown = Shown::of(request)?;
            Ok(Self { shown, actor })
        }))
    }
}
