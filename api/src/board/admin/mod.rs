//! Admin: keys, people, feeds, webhooks, and who changed what.

mod form;
pub(super) mod hooks;

use actix_web::{HttpResponse, web};
use askama::Template;
use scheduler::scenario::SiteId;
use serde_json::json;
use strum::VariantArray;

use super::error_page::{ErrorPage, Notice, Told};
use super::fields::through;
use super::page::{Nav, Shell, shown};
use super::principal::Principal;
use crate::app;
use crate::domain::Refusal;
use crate::domain::access::Scope;
use crate::domain::audit::AuditOutcome;
use crate::domain::calendars::CalendarRequest;
use crate::domain::roles::Role;
use crate::domain::tags::ExpectedTag;
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, audit, calendars, sites};
use crate::text::units::Units;
use form::AdminForm;
use hooks::{Hook, families, hooks};

/// Somebody or something that may do things.
struct Holder {
    id: String,
    name: String,
    may: String,
    note: String,
    gone: bool,
}

/// A line of the trail.
struct Entry {
    at: String,
    who: String,
    what: String,
    path: String,
}

#[derive(Template)]
#[template(path = "board/admin.html")]
struct Page {
    shell: Shell,
    /// A secret that is shown this once, and what it is.
    secret: Option<(&'static str, String)>,
    keys: Vec<Holder>,
    people: Vec<Holder>,
    feeds: Vec<Holder>,
    webhooks: Vec<Hook>,
    families: Vec<&'static str>,
    everywhere: bool,
    trail: Vec<Entry>,
    scopes: [(&'static str, &'static str); 4],
    roles: Vec<(&'static str, &'static str)>,
}

const SCOPES: [(&str, &str); 4] = [
    ("read", "read: look at everything"),
    ("floor", "floor: do the work, count stock"),
    ("plan", "plan: change demand, setup and plans"),
    ("admin", "admin: everything, keys and people too"),
];

pub(super) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, ErrorPage> {
    show(&service, visitor, site, Told::nothing(), None).await
}

async fn show(
    service: &Service,
    visitor: Principal,
    site: SiteId,
    told: Told,
    secret: Option<(&'static str, String)>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &site, told.notice))
        .await?;
    shown(told.status, &Page { secret, ..page })
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    site: &SiteId,
    notice: Option<Notice>,
) -> Result<Page, Refusal> {
    let site = sites::load(conn, site)?;
    let zone = site.time_zone;
    let units = visitor.units;
    let local = |at: chrono::DateTime<chrono::Utc>| {
        units.day_and_time(at.with_timezone(&zone).fixed_offset())
    };
    let known = app::keys::list(conn, &visitor.actor)?;
    let keys = known.into_iter().map(|key| Holder {
        id: key.id.to_string(),
        may: may(&key.scopes, key.sites.as_deref()),
        note: match (key.revoked_at, key.expires_at) {
            (Some(at), _) => format!("revoked {}", local(at)),
            (None, Some(at)) => format!("until {}", local(at)),
            (None, None) => format!("made {}", local(key.created_at)),
        },
        gone: key.revoked_at.is_some(),
        name: key.name,
    });
    let keys: Vec<Holder> = keys.collect();
    let known = app::people::list(conn, &visitor.actor)?;
    let people = known.into_iter().map(|person| Holder {
        id: person.id.to_string(),
        may: may(&person.scopes, person.sites.as_deref()),
        note: format!("added {}", local(person.created_at)),
        gone: false,
        name: person.name,
    });
    let people: Vec<Holder> = people.collect();
    let feeds = calendars::list(conn, &site.id, zone)?
        .into_iter()
        .map(|feed| Holder {
            id: serde_json::to_value(feed.id)
                .ok()
                .and_then(|id| id.as_str().map(str::to_owned))
                .unwrap_or_default(),
            name: feed
                .note
                .map_or_else(|| "a feed".to_owned(), |note| note.as_str().to_owned()),
            may: feed.role.map_or("all work", Role::title).to_owned(),
            note: format!("made {}", units.day_and_time(feed.created_at)),
            gone: false,
        });
    let feeds: Vec<Holder> = feeds.collect();
    Ok(Page {
        secret: None,
        keys,
        people,
        feeds,
        webhooks: hooks(conn, visitor, &site.id, zone)?,
        families: families(),
        everywhere: visitor.actor.grant.sites.is_none(),
        trail: trail(conn, &site, units)?,
        scopes: SCOPES,
        roles: Role::VARIANTS
            .iter()
            .map(|role| (role.into_str(), role.title()))
            .collect(),
        shell: Shell::of(visitor, &site, Nav::Admin).saying(notice),
    })
}

fn may(scopes: &[Scope], sites: Option<&[SiteId]>) -> String {
    let scopes: Vec<&str> = scopes.iter().map(|scope| scope.into_str()).collect();
    match sites {
        None => format!("{}, all sites", scopes.join(" and ")),
        Some(sites) => {
            let sites: Vec<&str> = sites.iter().map(SiteId::as_str).collect();
            format!("{}, {}", scopes.join(" and "), sites.join(" and "))
        }
    }
}

fn trail(
    conn: &mut Connection,
    site: &scheduler::scenario::Site,
    units: Units,
) -> Result<Vec<Entry>, Refusal> {
    let latest = audit::latest(conn, &site.id, 50)?;
    let entry = |entry: crate::domain::audit::AuditEntry| Entry {
        at: units.day_and_time(entry.at.with_timezone(&site.time_zone).fixed_offset()),
        who: entry.who.name,
        what: match entry.outcome {
            AuditOutcome::Done => entry.operation.replace('_', " "),
            AuditOutcome::Refused => format!("{}: refused", entry.operation.replace('_', " ")),
        },
        path: entry.path,
    };
    Ok(latest.into_iter().map(entry).collect())
}

pub(super) async fn make_key(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let made = form.write(|conn, sent| {
        let request = through(json!({
            "name": sent.text("name"),
            "scopes": [sent.text("scope")],
            "sites": sent.only(),
        }))?;
        let (_, key) = app::keys::make(conn, sent.actor(), request)?;
        Ok(key)
    });
    let made = made.await;
    form.show_once("The key", made).await
}

pub(super) async fn revoke_key(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let actor = form.sent.actor().clone();
    let done = match form.sent.named("id") {
        Ok(id) => app::keys::revoke(&form.service, actor, id, ExpectedTag::Unstated).await,
        Err(refusal) => Err(refusal),
    };
    form.done("", done).await
}

pub(super) async fn add_person(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let sent = &form.sent;
    let said = json!({
        "name": sent.text("name"),
        "password": sent.text("password"),
        "scopes": [sent.text("scope")],
        "sites": sent.only(),
    });
    let added = match through(said) {
        Ok(request) => app::people::add(&form.service, sent.actor(), request).await,
        Err(refusal) => Err(refusal),
    };
    form.done("", added).await
}

pub(super) async fn remove_person(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let removed = form.write(|conn, sent| {
        let unstated = &ExpectedTag::Unstated;
        app::people::remove(conn, sent.actor(), sent.named("id")?, unstated)
    });
    let removed = removed.await;
    form.done("", removed).await
}

pub(super) async fn make_feed(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let made = form.write(|conn, sent| {
        let request: CalendarRequest = through(json!({
            "role": sent.fields.text("role"),
            "note": sent.fields.text("name"),
        }))?;
        let (_, path) = app::calendars::make(conn, &sent.site, &request, sent.actor())?;
        Ok(path)
    });
    let made = made.await;
    form.show_once("The feed's address below this service", made)
        .await
}

pub(super) async fn revoke_feed(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let revoked =
        form.write(|conn, sent| app::calendars::revoke(conn, &sent.site, sent.named("id")?));
    let revoked = revoked.await;
    form.done("", revoked).await
}
