//! Webhooks: made, replaced, taken away, given new secrets, and deliveries sent again.

use serde::Serialize;

use crate::domain::access::Actor;
use crate::domain::tags::ExpectedTag;
use crate::domain::webhooks::{
    Delivery, DeliveryId, Webhook, WebhookId, WebhookRequest, WebhookSecret, check,
};
use crate::domain::{Refusal, secret};
use crate::service::Service;
use crate::storage::{Connection, Store, sites, webhooks};

/// Makes a webhook with a secret of its own.
pub(crate) async fn make(
    service: &Service,
    actor: Actor,
    request: WebhookRequest,
) -> Result<WebhookSecret, Refusal> {
    check(&request, service.private_webhooks)?;
    let secret = secret::webhook()?;
    let kept = secret.clone();
    let webhook = service
        .store
        .write(move |conn| {
            site_exists(conn, &request)?;
            let id = WebhookId::new();
            webhooks::insert(conn, id, &request, &kept, &actor)?;
            load(conn, id)
        })
        .await?;
    Ok(WebhookSecret { webhook, secret })
}

/// Replaces what a webhook is told. Whoever replaces it is its maker from then on.
pub(crate) async fn replace(
    service: &Service,
    actor: &Actor,
    id: WebhookId,
    (expected, request): (ExpectedTag, WebhookRequest),
) -> Result<Webhook, Refusal> {
    check(&request, service.private_webhooks)?;
    let actor = actor.clone();
    service
        .store
        .write(move |conn| {
            let before = load(conn, id)?;
            site_exists(conn, &request)?;
            expected.admit(Some(&told(&before)))?;
            webhooks::replace(conn, &before, &request, &actor)?;
            load(conn, id)
        })
        .await
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
pub(crate) async fn renew(store: &Store, id: WebhookId) -> Result<WebhookSecret, Refusal> {
    let secret = secret::webhook()?;
    let kept = secret.clone();
    let webhook = store
        .write(move |conn| {
            let webhook = load(conn, id)?;
            webhooks::set_secret(conn, id, &kept)?;
            Ok::<_, Refusal>(webhook)
        })
        .await?;
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
