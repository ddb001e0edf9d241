//! The way in: straight to the site, or a choice of sites; and the choice of units and marks.

use actix_web::{HttpResponse, web};
use askama::Template;
use scheduler::scenario::Site;

use super::error_page::ErrorPage;
use super::fields::Fields;
use super::page::shown;
use super::principal::{LOCALE_COOKIE, Principal, UNITS_COOKIE};
use super::sign_in::inside;
use super::{assets, go_to};
use crate::domain::Refusal;
use crate::http::{SitePath, TypedPath, choice_cookie};
use crate::service::Service;
use crate::storage;
use crate::text::locale::Locale;
use crate::text::units::Units;

#[derive(Template)]
#[template(path = "board/sites.html")]
struct Page {
    css: &'static str,
    csrf: String,
    sites: Vec<Site>,
    /// Whether they may make a site.
    makes: bool,
}

/// Straight to the site where there is one only.
pub(super) async fn sites(
    service: web::Data<Service>,
    visitor: Principal,
) -> Result<HttpResponse, ErrorPage> {
    let mut sites = service
        .store
        .read(|conn| Ok::<_, Refusal>(storage::sites::list(conn)?))
        .await?;
    sites.retain(|site| visitor.actor.grant.reaches(&site.id));
    if let [only] = sites.as_slice() {
        return Ok(go_to(format!("/board/{}/today", only.id)));
    }
    let page = Page {
        css: assets::css(),
        makes: visitor.makes_sites(),
        csrf: visitor.csrf,
        sites,
    };
    shown(200, &page)
}

pub(super) async fn site(TypedPath(SitePath { site }): TypedPath<SitePath>) -> HttpResponse {
    go_to(format!("/board/{site}/today"))
}

/// Keeps which units somebody reads, or how they write numbers and dates, for a year.
pub(super) async fn units(service: web::Data<Service>, fields: Fields) -> HttpResponse {
    let secure = service.secure_cookies;
    let mut response = go_to(inside(fields.get("back")));
    if let Some(units) = fields.get("units").and_then(Units::parse) {
        keep(&mut response, secure, UNITS_COOKIE, units.as_str());
    }
    // A tag that is none leaves it to the browser.
    if let Some(tag) = fields.get("locale") {
        let known = Locale::CHOICES.iter().find(|(known, _)| *known == tag);
        keep(
            &mut response,
            secure,
            LOCALE_COOKIE,
            known.map_or("", |(known, _)| known),
        );
    }
    response
}

fn keep(response: &mut HttpResponse, secure: bool, name: &'static str, value: &'static str) {
    // Only a cookie that cannot be written would be refused.
    let _ = response.add_cookie(&choice_cookie(secure, name, value));
}
