//! Webhooks: made, replaced, taken away, given new secrets, and deliveries sent again.

use serde::Serialize;

use crate::domain::access::Actor;
use crate::domain::tags::ExpectedTag;
use crate::domain::webhooks::{
    Delivery, DeliveryId, Webhook, WebhookId, WebhookRequest, WebhookSecret, check,
};
use crate::domain::{Refusal, secret};
use crate::storage::{Connection, sites, webhooks};

/// Makes a webhook with a secret of its own. Whether it may lead into private networks is the
/// service's to say.
pub(crate) fn make(
    conn: &mut Connection,
    actor: &Actor,
    request: &WebhookRequest,
    private: bool,
) -> Result<WebhookSecret, Refusal> {
    check(request, private)?;
    site_exists(conn, request)?;
    let (id, secret) = (WebhookId::new(), secret::webhook()?);
    webhooks::insert(conn, id, request, &secret, actor)?;
    let webhook = load(conn, id)?;
    Ok(WebhookSecret { webhook, secret })
}

/// Replaces what a webhook is told. Whoever replaces it is its maker from then on.
pub(crate) fn replace(
    conn: &mut Connection,
    actor: &Actor,
    id: WebhookId,
    expected: &ExpectedTag,
    request: &WebhookRequest,
    private: bool,
) -> Result<Webhook, Refusal> {
    check(request, private)?;
    let before = load(conn, id)?;
    site_exists(conn, request)?;
    expected.admit(Some(&told(&before)))?;
    webhooks::replace(conn, &before, request, actor)?;
    load(conn, id)
}

/// Takes a webhook away, with its log of deliveries.
pub(crate) fn delete(
    conn: &mut Connection,
    id: WebhookId,
    expected: &ExpectedTag,
) -> Result<(), Refusal> {
    expected.admit(Some(&told(&load(conn, id)?)))?;
    Ok(webhooks::delete(conn, id)?)
}

/// Gives a webhook a new secret.
pub(crate) fn renew(conn: &mut Connection, id: WebhookId) -> Result<WebhookSecret, Refusal> {
    let (webhook, secret) = (load(conn, id)?, secret::webhook()?);
    webhooks::set_secret(conn, id, &secret)?;
    Ok(WebhookSecret { webhook, secret })
}

/// Has a delivery sent again.
pub(crate) fn resend(
    conn: &mut Connection,
    webhook: WebhookId,
    delivery: DeliveryId,
) -> Result<Delivery, Refusal> {
    load(conn, webhook)?;
    let sent = webhooks::resend(conn, webhook, delivery)?;
    sent.ok_or(Refusal::UnknownDelivery(delivery))
}

/// A webhook there is.
pub(crate) fn load(conn: &mut Connection, id: WebhookId) -> Result<Webhook, Refusal> {
    webhooks::find(conn, id)?.ok_or(Refusal::UnknownWebhook(id))
}

fn site_exists(conn: &mut Connection, request: &WebhookRequest) -> Result<(), Refusal> {
    if let Some(site) = &request.site {
        sites::load(conn, site)?;
    }
    Ok(())
}

/// What a tag is of: what people have said about it, not how deliveries go.
pub(crate) fn told(webhook: &Webhook) -> impl Serialize + use<'_> {
    (webhook.id, &webhook.request, &webhook.disabled_why)
}
