//! Webhooks: where the service tells other systems what happens, made, tried and taken away.

use actix_web::HttpResponse;
use chrono_tz::Tz;
use scheduler::scenario::SiteId;
use serde_json::json;

use super::super::error_page::ErrorPage;
use super::super::fields::through;
use super::super::principal::Principal;
use super::form::{AdminForm, Sent};
use crate::app;
use crate::domain::Refusal;
use crate::domain::events::EventKind;
use crate::domain::tags::ExpectedTag;
use crate::domain::webhooks::{Delivery, Webhook, WebhookId};
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
    pub(super) sent: Vec<Sending>,
}

/// A delivery.
pub(super) struct Sending {
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

fn one(delivery: &Delivery, zone: Tz, units: Units) -> Sending {
    let at = delivery.last_at.unwrap_or(delivery.created_at);
    let tries =
        counted(u32::try_from(delivery.attempts).unwrap_or(0), "try").replace("trys", "tries");
    let wrong = delivery.last_error.as_ref();
    let wrong = wrong.map_or_else(String::new, |why| format!(": {why}"));
    Sending {
        id: delivery.id.to_string(),
        event: delivery.seq,
        when: units.day_and_time(at.with_timezone(&zone).fixed_offset()),
        state: format!("{}, {tries}{wrong}", delivery.state.into_str()),
    }
}

pub(in crate::board) async fn make(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let private = form.service.private_webhooks;
    let made = form.write(move |conn, sent| {
        // Somebody who is of some sites only is told of no others.
        let only = sent.fields.get("here").is_some() || sent.actor().grant.sites.is_some();
        let wanted: Vec<&str> = sent.fields.under("family ").map(|(name, _)| name).collect();
        let types = EventKind::ALL.iter();
        let types: Vec<&EventKind> = types
            .filter(|kind| wanted.contains(&family(**kind)))
            .collect();
        let request = through(json!({
            "url": sent.fields.text("url").unwrap_or_default(),
            "site": only.then_some(&sent.site),
            "types": types,
            "note": sent.fields.text("note"),
        }))?;
        Ok(app::webhooks::make(conn, sent.actor(), &request, private)?.secret)
    });
    let made = made.await;
    form.show_once("The webhook's secret", made).await
}

/// The webhook a form names, if it is one that somebody may change here.
fn named(conn: &mut Connection, sent: &Sent) -> Result<WebhookId, Refusal> {
    let id: WebhookId = sent.named("hook")?;
    let found = webhooks::find(conn, id)?.filter(|hook| open(&sent.visitor, &sent.site, hook));
    found.map(|hook| hook.id).ok_or(Refusal::UnknownWebhook(id))
}

pub(in crate::board) async fn remove(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let removed = form.write(|conn, sent| {
        let id = named(conn, sent)?;
        app::webhooks::delete(conn, id, &ExpectedTag::Unstated)
    });
    let removed = removed.await;
    form.done("#hooks", removed).await
}

pub(in crate::board) async fn renew(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let renewed = form.write(|conn, sent| {
        let id = named(conn, sent)?;
        Ok(app::webhooks::renew(conn, id)?.secret)
    });
    let renewed = renewed.await;
    form.show_once("The webhook's new secret", renewed).await
}

pub(in crate::board) async fn resend(form: AdminForm) -> Result<HttpResponse, ErrorPage> {
    let sent_again = form.write(|conn, sent| {
        let hook = named(conn, sent)?;
        app::webhooks::resend(conn, hook, sent.named("delivery")?)
    });
    let sent_again = sent_again.await;
    form.done("#hooks", sent_again).await
}
