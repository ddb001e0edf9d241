//! Webhooks: where the service tells other systems what happens, made, tried and taken away.

use actix_web::{HttpResponse, web};
use chrono_tz::Tz;
use scheduler::scenario::SiteId;
use serde_json::json;

use super::super::error_page::ErrorPage;
use super::super::fields::{Fields, through};
use super::super::go_to;
use super::super::principal::Principal;
use super::{refused, show};
use crate::app;
use crate::domain::Refusal;
use crate::domain::events::EventKind;
use crate::domain::tags::ExpectedTag;
use crate::domain::webhooks::{Delivery, DeliveryId, Webhook, WebhookId};
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, webhooks};
use crate::text::figures::counted;
use crate::text::units::Units;

/// Deliveries that are shown of each webhook.
const SHOWN: i64 = 5;

/// A webhook and what was delivered last.
pub(super) struct Hook {
    pub(super) id: String,
    pub(super) url: String,
    pub(super) note: String,
    pub(super) told: String,
    pub(super) state: String,
    pub(super) sent: Vec<Sent>,
}

/// A delivery.
pub(super) struct Sent {
    pub(super) id: String,
    pub(super) event: i64,
    pub(super) when: String,
    pub(super) state: String,
}

/// Kinds of events that begin alike, such as `work.`.
pub(super) fn families() -> Vec<&'static str> {
    let mut found: Vec<&str> = EventKind::ALL.iter().map(|kind| family(*kind)).collect();
    found.dedup();
    found.sort_unstable();
    found.dedup();
    found
}

fn family(kind: EventKind) -> &'static str {
    kind.as_str().split('.').next().unwrap_or_default()
}

/// Whether somebody may see and change a webhook: it is of this site, or of all and so are they.
fn open(visitor: &Principal, site: &SiteId, hook: &Webhook) -> bool {
    match &hook.request.site {
        Some(of) => of == site,
        None => visitor.actor.grant.sites.is_none(),
    }
}

/// The webhooks that are told of a site.
pub(super) fn hooks(
    conn: &mut Connection,
    visitor: &Principal,
    site: &SiteId,
    zone: Tz,
) -> Result<Vec<Hook>, Refusal> {
    let mut shown = Vec::new();
    for hook in webhooks::list(conn)? {
        if open(visitor, site, &hook) {
            let sent = webhooks::log(conn, hook.id, None, SHOWN)?;
            shown.push(Hook {
                id: hook.id.to_string(),
                told: told(&hook),
                state: state(&hook),
                sent: sent
                    .iter()
                    .map(|delivery| one(delivery, zone, visitor.units))
                    .collect(),
                note: hook
                    .request
                    .note
                    .as_ref()
                    .map_or_else(String::new, |note| note.as_str().to_owned()),
                url: hook.request.url,
            });
        }
    }
    Ok(shown)
}

fn told(hook: &Webhook) -> String {
    let mut families: Vec<&str> = hook
        .request
        .types
        .iter()
        .map(|kind| family(*kind))
        .collect();
    families.dedup();
    let kinds = match families.len() {
        0 => "all events".to_owned(),
        _ => families.join(", "),
    };
    let of = if hook.request.site.is_some() {
        "here"
    } else {
        "all sites"
    };
    format!("{kinds}, {of}")
}

fn state(hook: &Webhook) -> String {
    match (&hook.disabled_why, hook.failing_since, hook.request.enabled) {
        (Some(why), _, _) => format!("▲ stopped: {why}"),
        (None, Some(_), _) => "▲ deliveries fail".to_owned(),
        (None, None, true) => "✓ delivers".to_owned(),
        (None, None, false) => "paused".to_owned(),
    }
}

fn one(delivery: &Delivery, zone: Tz, units: Units) -> Sent {
    let at = delivery.last_at.unwrap_or(delivery.created_at);
    let tries =
        counted(u32::try_from(delivery.attempts).unwrap_or(0), "try").replace("trys", "tries");
    let wrong = delivery.last_error.as_ref();
    let wrong = wrong.map_or_else(String::new, |why| format!(": {why}"));
    Sent {
        id: delivery.id.to_string(),
        event: delivery.seq,
        when: units.day_and_time(at.with_timezone(&zone).fixed_offset()),
        state: format!("{}, {tries}{wrong}", delivery.state.into_str()),
    }
}

pub(in crate::board) async fn make(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    // Somebody who is of some sites only is told of no others.
    let only = fields.get("here").is_some() || visitor.actor.grant.sites.is_some();
    let wanted: Vec<&str> = fields.under("family ").map(|(name, _)| name).collect();
    let types = EventKind::ALL.iter();
    let types: Vec<&EventKind> = types
        .filter(|kind| wanted.contains(&family(**kind)))
        .collect();
    let said = json!({
        "url": fields.text("url").unwrap_or_default(),
        "site": only.then_some(&site),
        "types": types,
        "note": fields.text("note"),
    });
    let (actor, private) = (visitor.actor.clone(), service.private_webhooks);
    let made = service
        .store
        .write(move |conn| app::webhooks::make(conn, &actor, &through(said)?, private));
    match made.await {
        Ok(made) => {
            let secret = Some(("The webhook's secret", made.secret));
            show(&service, visitor, site, (200, None), secret).await
        }
        Err(refusal) => refused(&service, visitor, site, refusal).await,
    }
}

/// The webhook a form names, if it is one that somebody may change here.
fn named(
    conn: &mut Connection,
    visitor: &Principal,
    site: &SiteId,
    fields: &Fields,
) -> Result<WebhookId, Refusal> {
    let id: WebhookId = through(json!(fields.get("hook").unwrap_or_default()))?;
    let found = webhooks::find(conn, id)?.filter(|hook| open(visitor, site, hook));
    found.map(|hook| hook.id).ok_or(Refusal::UnknownWebhook(id))
}

pub(in crate::board) async fn remove(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (who, asked) = (visitor.clone(), site.clone());
    let done = service
        .store
        .write(move |conn| {
            let id = named(conn, &who, &asked, &fields)?;
            app::webhooks::delete(conn, id, &ExpectedTag::Unstated)
        })
        .await;
    match done {
        Ok(()) => Ok(go_to(format!("/board/{site}/admin#hooks"))),
        Err(refusal) => refused(&service, visitor, site, refusal).await,
    }
}

pub(in crate::board) async fn renew(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (who, asked) = (visitor.clone(), site.clone());
    let renewed = service.store.write(move |conn| {
        let id = named(conn, &who, &asked, &fields)?;
        app::webhooks::renew(conn, id)
    });
    match renewed.await {
        Ok(renewed) => {
            let secret = Some(("The webhook's new secret", renewed.secret));
            show(&service, visitor, site, (200, None), secret).await
        }
        Err(refusal) => refused(&service, visitor, site, refusal).await,
    }
}

pub(in crate::board) async fn resend(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (who, asked) = (visitor.clone(), site.clone());
    let done = service
        .store
        .write(move |conn| {
            let hook = named(conn, &who, &asked, &fields)?;
            let id: DeliveryId = through(json!(fields.get("delivery").unwrap_or_default()))?;
            app::webhooks::resend(conn, hook, id)
        })
        .await;
    match done {
        Ok(_) => Ok(go_to(format!("/board/{site}/admin#hooks"))),
        Err(refusal) => refused(&service, visitor, site, refusal).await,
    }
}
