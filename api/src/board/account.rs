//! One's own account: a new password, and where one is signed in.

use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use chrono::{DateTime, Utc};
use serde_json::json;

use super::assets;
use super::error_page::{ErrorPage, Notice};
use super::fields::{Fields, through};
use super::page::shown;
use super::principal::Principal;
use crate::app::own_sessions::{self, Own};
use crate::domain::Refusal;
use crate::domain::access::{EndSessions, OwnSession, PasswordChange};
use crate::http::{attempt_of, session_cookies, session_of};
use crate::service::Service;

#[derive(Template)]
#[template(path = "board/account.html")]
struct Page {
    css: &'static str,
    csrf: String,
    name: String,
    notice: Option<Notice>,
    done: Option<&'static str>,
    sessions: Vec<String>,
}

pub(super) async fn read(
    request: HttpRequest,
    service: web::Data<Service>,
    visitor: Principal,
) -> Result<HttpResponse, ErrorPage> {
    let own = Own::of(&visitor.actor, session_of(&request))?;
    let sessions = own_sessions::list(&service, own).await?;
    page(200, visitor, &sessions, None, None)
}

fn page(
    status: u16,
    visitor: Principal,
    sessions: &[OwnSession],
    notice: Option<Notice>,
    done: Option<&'static str>,
) -> Result<HttpResponse, ErrorPage> {
    let page = Page {
        css: assets::css(),
        csrf: visitor.csrf,
        name: visitor.actor.name,
        notice,
        done,
        sessions: sessions.iter().map(line).collect(),
    };
    shown(status, &page)
}

/// A session in words.
fn line(session: &OwnSession) -> String {
    let time = |at: DateTime<Utc>| at.format("%Y-%m-%d %H:%M UTC").to_string();
    let mut parts = Vec::new();
    if session.current {
        parts.push("here".to_owned());
    }
    parts.extend(session.agent.clone());
    parts.extend(session.address.clone());
    parts.extend(session.begun_at.map(|at| format!("since {}", time(at))));
    parts.extend(session.seen_at.map(|at| format!("used {}", time(at))));
    parts.push(format!("until {}", time(session.expires_at)));
    parts.join(" · ")
}

pub(super) async fn change(
    request: HttpRequest,
    service: web::Data<Service>,
    visitor: Principal,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let said = json!({
        "password": fields.get("password").unwrap_or_default(),
        "new_password": fields.get("new_password").unwrap_or_default(),
    });
    let changed = match through::<PasswordChange>(said) {
        Ok(asked) => {
            own_sessions::change(&service, &visitor.actor, attempt_of(&request), asked).await
        }
        Err(refusal) => Err(refusal),
    };
    match changed {
        Ok(begun) => {
            let mut response = super::go_to("/board/sign-in/account");
            let secure = service.secure_cookies;
            for cookie in &session_cookies(secure, &begun.token, &begun.device) {
                response.add_cookie(cookie).map_err(Refusal::internal)?;
            }
            Ok(response)
        }
        Err(refusal) => refused(&request, &service, visitor, refusal).await,
    }
}

pub(super) async fn end(
    request: HttpRequest,
    service: web::Data<Service>,
    visitor: Principal,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let said = json!({ "password": fields.get("password").unwrap_or_default() });
    let ended = match through::<EndSessions>(said) {
        Ok(asked) => own_sessions::end(&service, &visitor.actor, attempt_of(&request), asked).await,
        Err(refusal) => Err(refusal),
    };
    match ended {
        Ok(left) => {
            let done = Some("You are signed in here alone.");
            page(200, visitor, &left, None, done)
        }
        Err(refusal) => refused(&request, &service, visitor, refusal).await,
    }
}

async fn refused(
    request: &HttpRequest,
    service: &Service,
    visitor: Principal,
    refusal: Refusal,
) -> Result<HttpResponse, ErrorPage> {
    let (status, notice) = Notice::of(refusal);
    let own = Own::of(&visitor.actor, session_of(request))?;
    let sessions = own_sessions::list(service, own).await?;
    page(status, visitor, &sessions, Some(notice), None)
}
