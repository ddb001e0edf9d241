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

/// Who sent a request. `unsafe_method` is whether it may change something.
pub(crate) async fn recognise(
    service: &Service,
    request: &ServiceRequest,
    unsafe_method: bool,
) -> Result<Actor, Problem> {
    let shown = request.headers().get(AUTHORIZATION);
    if let Some(shown) = shown {
        let text = shown.to_str().unwrap_or_default();
        let token = text
            .split_once(' ')
            .filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"))
            .and_then(|(_, token)| Token::parse(Token::KEY, token.trim()));
        let Some(token) = token else {
            return Err(nobody("Authorization holds no API key"));
        };
        return key(service, token).await;
    }
    let Some(token) = session_of(request.request()) else {
        return Err(nobody("neither a key nor a session found"));
    };
    let given = request.headers().get(CSRF_TOKEN);
    let given = given.and_then(|value| value.to_str().ok());
    if unsafe_method && given != Some(token.derived(CSRF).as_str()) {
        return Err(Problem::new(
            Kind::CsrfRequired,
            "X-CSRF-Token is missing or wrong; send the csrf_token that signing in returned",
        ));
    }
    let found = service
        .store
        .read(move |conn| Ok::<_, Refusal>(people::recognise(conn, &token, time::now())?))
        .await?;
    found.ok_or_else(|| nobody("this session has ended"))
}
