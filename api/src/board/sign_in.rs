//! Signing in and out by a plain form.

use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use serde_json::json;

use super::error_page::{ErrorPage, Notice};
use super::fields::Fields;
use super::page::shown;
use super::{assets, go_to};
use crate::app;
use crate::domain::Refusal;
use crate::domain::access::SignIn;
use crate::http::{attempt_of, ended_session_cookie, session_cookies, session_of};
use crate::service::Service;

#[derive(Template)]
#[template(path = "board/sign_in.html")]
struct Page {
    css: &'static str,
    next: String,
    name: String,
    notice: Option<Notice>,
}

/// The address of the form, for somebody who wants to see a page.
pub(super) fn sign_in_for(path: &str) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.append_pair("next", path);
    format!("/board/sign-in?{}", query.finish())
}

/// A page of the board to go on to, and never one of somebody else's.
pub(super) fn inside(path: Option<&str>) -> String {
    let ours = |path: &&str| {
        (*path == "/board" || path.starts_with("/board/") || path.starts_with("/board?"))
            && !path.contains(['\\', '\r', '\n'])
            && !path.contains("//")
    };
    path.filter(ours).unwrap_or("/board").to_owned()
}

pub(super) async fn read(request: HttpRequest) -> Result<HttpResponse, ErrorPage> {
    let query = Fields::parse(request.query_string().as_bytes());
    let page = Page {
        css: assets::css(),
        next: inside(query.get("next")),
        name: String::new(),
        notice: None,
    };
    shown(200, &page)
}

pub(super) async fn sign_in(
    request: HttpRequest,
    service: web::Data<Service>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let name = fields.get("name").unwrap_or_default();
    let password = fields.get("password").unwrap_or_default();
    let next = inside(fields.get("next"));
    let asked: SignIn = serde_json::from_value(json!({ "name": name, "password": password }))
        .map_err(Refusal::internal)?;
    match app::sessions::begin(&service, attempt_of(&request), asked).await {
        Ok(begun) => {
            let mut response = go_to(next);
            let secure = service.secure_cookies;
            for cookie in &session_cookies(secure, &begun.token, &begun.device) {
                response.add_cookie(cookie).map_err(Refusal::internal)?;
            }
            Ok(response)
        }
        Err(refusal @ (Refusal::BadSignIn | Refusal::TooMany { .. } | Refusal::Busy)) => {
            let (status, notice) = Notice::of(refusal);
            let page = Page {
                css: assets::css(),
                next,
                name: name.to_owned(),
                notice: Some(notice),
            };
            shown(status, &page)
        }
        Err(other) => Err(other.into()),
    }
}

pub(super) async fn sign_out(
    request: HttpRequest,
    service: web::Data<Service>,
) -> Result<HttpResponse, ErrorPage> {
    app::sessions::end(&service.store, session_of(&request)).await?;
    let gone = ended_session_cookie(service.secure_cookies);
    let mut response = go_to("/board/sign-in");
    response.add_cookie(&gone).map_err(Refusal::internal)?;
    Ok(response)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_is_led_away_from_the_board() {
        let kept = "/board/harbour-bar/today?day=2026-06-01";
        assert_eq!(inside(Some(kept)), kept);
        for path in [
            "https://example.org",
            "//example.org",
            "/v1/sites",
            "/board//x",
            "/boards",
        ] {
            assert_eq!(inside(Some(path)), "/board", "{path}");
        }
        assert_eq!(inside(None), "/board");
    }
}
