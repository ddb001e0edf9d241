//! What all pages of a site have in common: their head, their way about, their foot.

use actix_web::HttpResponse;
use actix_web::http::StatusCode;
use askama::Template;
use scheduler::scenario::Site;

use super::assets;
use super::error_page::{ErrorPage, Notice};
use super::principal::Principal;
use crate::domain::access::{ActorKind, Scope};
use crate::domain::time;
use crate::text::locale::Locale;

/// A place in the way about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Nav {
    Today,
    Week,
    Ready,
    Commitments,
    Demand,
    Stock,
    Plans,
    Setup,
    Calculators,
    Sheets,
    Admin,
}

impl Nav {
    const ALL: [(Self, &'static str, &'static str); 11] = [
        (Self::Today, "today", "Today"),
        (Self::Week, "week", "Week"),
        (Self::Ready, "ready", "Ready by"),
        (Self::Commitments, "commitments", "Can we take it?"),
        (Self::Demand, "demand", "Demand"),
        (Self::Stock, "stock", "Stock"),
        (Self::Plans, "plans", "Plans"),
        (Self::Setup, "setup", "Setup"),
        (Self::Calculators, "calculators", "Calculators"),
        (Self::Sheets, "sheets", "Prep sheet"),
        (Self::Admin, "admin", "Admin"),
    ];
}

/// A link in the way about.
pub(super) struct Link {
    pub(super) href: String,
    pub(super) name: &'static str,
    pub(super) here: bool,
}

/// What all pages of a site have in common.
pub(super) struct Shell {
    pub(super) css: &'static str,
    pub(super) js: &'static str,
    pub(super) base: String,
    pub(super) site: String,
    pub(super) site_id: String,
    /// The time on the site's clock.
    pub(super) clock: String,
    pub(super) day: String,
    pub(super) links: Vec<Link>,
    pub(super) who: String,
    pub(super) person: bool,
    pub(super) csrf: String,
    pub(super) here: String,
    pub(super) us: bool,
    /// Ways to write numbers and dates, and whether one was chosen.
    pub(super) locales: Vec<(&'static str, &'static str, bool)>,
    pub(super) floor: bool,
    pub(super) plan: bool,
    /// Whether they may make a site.
    pub(super) makes: bool,
    pub(super) notice: Option<Notice>,
}

impl Shell {
    pub(super) fn of(visitor: &Principal, site: &Site, here: Nav) -> Self {
        let base = format!("/board/{}", site.id);
        let now = time::now().with_timezone(&site.time_zone);
        let open = |nav: Nav| nav != Nav::Admin || visitor.may(Scope::Admin);
        let links = Nav::ALL.into_iter().filter(|(nav, _, _)| open(*nav));
        let links = links.map(|(nav, path, name)| Link {
            href: format!("{base}/{path}"),
            name,
            here: nav == here,
        });
        Self {
            css: assets::css(),
            js: assets::js(),
            links: links.collect(),
            site: site.name.clone(),
            site_id: site.id.to_string(),
            clock: now.format("%H:%M").to_string(),
            day: visitor.units.locale.short_day(now.date_naive()),
            base,
            who: visitor.actor.name.clone(),
            person: visitor.actor.kind == ActorKind::Person,
            csrf: visitor.csrf.clone(),
            here: visitor.here.clone(),
            us: visitor.units.is_us(),
            locales: Locale::CHOICES
                .map(|(tag, name)| (tag, name, tag == visitor.locale))
                .into(),
            floor: visitor.may(Scope::Floor),
            plan: visitor.may(Scope::Plan),
            makes: visitor.makes_sites(),
            notice: None,
        }
    }

    /// The same with something to say above the page.
    pub(super) fn saying(self, notice: Option<Notice>) -> Self {
        Self { notice, ..self }
    }
}

/// A page as it is sent.
pub(super) fn shown(status: u16, page: &impl Template) -> Result<HttpResponse, ErrorPage> {
    let status = StatusCode::from_u16(status).unwrap_or(StatusCode::OK);
    Ok(HttpResponse::build(status)
        .content_type("text/html; charset=utf-8")
        .body(page.render()?))
}
