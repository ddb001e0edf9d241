//! The cookies people's browsers keep: the session, and a token by which a browser is known again.

use actix_web::cookie::time::Duration;
use actix_web::cookie::{Cookie, SameSite};
use actix_web::http::header::USER_AGENT;
use actix_web::{HttpRequest, web};

use super::client::{client_address, client_network};
use super::request::line_of;
use crate::domain::access::{Attempt, Browser, Origin, SESSION, Token, agent};
use crate::service::Service;
use crate::storage::familiar;

/// The cookie that holds a session where TLS is not spoken.
pub(crate) const SESSION_COOKIE: &str = "fizzwright_session";

/// The cookie that holds a session where TLS is spoken before the service. A browser takes one with
/// this prefix from this very host alone, and over TLS (RFC 6265bis, section 4.1.3.2).
pub(crate) const SECURE_SESSION_COOKIE: &str = "__Host-fizzwright_session";

const DEVICE_COOKIE: &str = "fizzwright_browser";
const SECURE_DEVICE_COOKIE: &str = "__Host-fizzwright_browser";

/// Whether browsers are to send cookies over TLS only.
fn secure(request: &HttpRequest) -> bool {
    let service = request.app_data::<web::Data<Service>>();
    service.is_some_and(|service| service.secure_cookies)
}

/// The session a request shows, if it shows one.
pub(crate) fn session_of(request: &HttpRequest) -> Option<Token> {
    let name = if secure(request) {
        SECURE_SESSION_COOKIE
    } else {
        SESSION_COOKIE
    };
    Token::parse(Token::SESSION, request.cookie(name)?.value())
}

/// Where a request comes from: its address, and the browser's token if it shows one.
pub(crate) fn origin_of(request: &HttpRequest) -> Origin {
    let name = if secure(request) {
        SECURE_DEVICE_COOKIE
    } else {
        DEVICE_COOKIE
    };
    let shown = request.cookie(name);
    Origin {
        address: client_address(request),
        network: client_network(request),
        device: shown.and_then(|cookie| Token::parse(Token::DEVICE, cookie.value())),
    }
}

/// Where a password is tried: the browser a request comes from, and the request itself.
pub(crate) fn attempt_of(request: &HttpRequest) -> Attempt {
    let said = request.headers().get(USER_AGENT);
    let browser = Browser {
        origin: origin_of(request),
        agent: said.and_then(|said| said.to_str().ok()).map(agent),
        session: session_of(request),
    };
    Attempt {
        browser,
        line: line_of(request),
    }
}

/// The cookies that hold a session that was begun, and its browser.
pub(crate) fn session_cookies(
    secure: bool,
    session: &Token,
    device: &Token,
) -> [Cookie<'static>; 2] {
    [
        session_cookie(secure, session.reveal(), SESSION.num_seconds()),
        device_cookie(secure, device, familiar::KEPT.num_seconds()),
    ]
}

/// The cookie that takes back the one that holds a session.
pub(crate) fn ended_session_cookie(secure: bool) -> Cookie<'static> {
    session_cookie(secure, String::new(), 0)
}

/// The cookie that holds a session.
fn session_cookie(secure: bool, text: String, seconds: i64) -> Cookie<'static> {
    let name = if secure {
        SECURE_SESSION_COOKIE
    } else {
        SESSION_COOKIE
    };
    cookie(name, secure, text, seconds)
}

/// The cookie by which a browser is known again.
fn device_cookie(secure: bool, device: &Token, seconds: i64) -> Cookie<'static> {
    let name = if secure {
        SECURE_DEVICE_COOKIE
    } else {
        DEVICE_COOKIE
    };
    cookie(name, secure, device.reveal(), seconds)
}

/// The choice of how pages are shown that a browser keeps under a name.
pub(crate) fn choice_of(request: &HttpRequest, name: &str) -> Option<String> {
    let name = name_of_choice(secure(request), name);
    Some(request.cookie(&name)?.value().to_owned())
}

/// The cookie that keeps such a choice for a year.
pub(crate) fn choice_cookie(secure: bool, name: &str, choice: &'static str) -> Cookie<'static> {
    const YEAR: Duration = Duration::days(365);
    Cookie::build(name_of_choice(secure, name), choice)
        // The prefix takes a cookie for all paths.
        .path(if secure { "/" } else { "/board" })
        .http_only(true)
        .secure(secure)
        .same_site(SameSite::Lax)
        .max_age(YEAR)
        .finish()
}

fn name_of_choice(secure: bool, name: &str) -> String {
    let prefix = if secure { "__Host-" } else { "" };
    format!("{prefix}{name}")
}

fn cookie(name: &'static str, secure: bool, text: String, seconds: i64) -> Cookie<'static> {
    Cookie::build(name, text)
        .path("/")
        .http_only(true)
        .secure(secure)
        .same_site(SameSite::Lax)
        .max_age(Duration::seconds(seconds))
        .finish()
}
