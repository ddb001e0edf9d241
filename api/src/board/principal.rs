//! Who looks at a page, and how they like it.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::Method;
use actix_web::http::header::ACCEPT_LANGUAGE;
use actix_web::{FromRequest, HttpMessage, HttpRequest};

use super::error_page::ErrorPage;
use crate::domain::access::{Actor, Scope};
use crate::http::{CSRF, choice_of, session_of};
use crate::text::locale::Locale;
use crate::text::units::Units;

/// The cookie that keeps which units somebody reads.
pub(super) const UNITS_COOKIE: &str = "fizzwright_units";

/// The cookie that keeps how somebody writes numbers and dates.
pub(super) const LOCALE_COOKIE: &str = "fizzwright_locale";

/// Who looks at a page. The door lets nobody through without.
#[derive(Debug, Clone)]
pub(super) struct Principal {
    pub(super) actor: Actor,
    /// What their forms carry; nothing for a key, which needs none.
    pub(super) csrf: String,
    pub(super) units: Units,
    /// The way to write numbers and dates they chose; nothing where the browser asks.
    pub(super) locale: String,
    /// The page they look at, to come back to.
    pub(super) here: String,
}

impl Principal {
    pub(super) fn of(request: &HttpRequest, actor: Actor) -> Self {
        Self {
            actor,
            csrf: session_of(request).map_or_else(String::new, |token| token.derived(CSRF)),
            units: units_of(request).written(locale_of(request)),
            locale: chosen(request).unwrap_or_default(),
            here: page_of(request),
        }
    }

    /// Whether they may make sites: those who are limited to some may not.
    pub(super) fn makes_sites(&self) -> bool {
        self.may(Scope::Admin) && self.actor.grant.sites.is_none()
    }

    pub(super) fn may(&self, scope: Scope) -> bool {
        self.actor.grant.allows(scope)
    }
}

/// The page of a request; for a form, the page of the site it belongs to.
fn page_of(request: &HttpRequest) -> String {
    if request.method() == Method::GET {
        return request.uri().to_string();
    }
    let parts: Vec<&str> = request.path().split('/').take(4).collect();
    parts.join("/")
}

/// The units a browser asked for: in this request, or before.
fn units_of(request: &HttpRequest) -> Units {
    let asked = form_urlencoded::parse(request.query_string().as_bytes())
        .find(|(name, _)| name == "units")
        .and_then(|(_, value)| Units::parse(&value));
    let kept = || Units::parse(&choice_of(request, UNITS_COOKIE)?);
    asked.or_else(kept).unwrap_or_default()
}

/// What was chosen, to write numbers and dates by.
fn chosen(request: &HttpRequest) -> Option<String> {
    choice_of(request, LOCALE_COOKIE)
}

/// How numbers and dates are written: as was chosen, or as the browser asks for.
fn locale_of(request: &HttpRequest) -> Locale {
    let kept = || Locale::of(&chosen(request)?);
    let asked = || {
        let header = request.headers().get(ACCEPT_LANGUAGE)?;
        Locale::accepted(header.to_str().ok()?)
    };
    kept().or_else(asked).unwrap_or_default()
}

impl FromRequest for Principal {
    type Error = ErrorPage;
    type Future = Ready<Result<Self, ErrorPage>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let found = request.extensions().get::<Self>().cloned();
        ready(found.ok_or_else(ErrorPage::nowhere))
    }
}
