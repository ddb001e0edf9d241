//! Webhooks: where events are delivered, signed, and what became of each delivery.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, delete, get, post, put, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::Refusal;
use crate::domain::access::Actor;
use crate::domain::page::PageSize;
use crate::domain::webhooks::{
    Delivery, DeliveryId, Webhook, WebhookId, WebhookRequest, WebhookSecret,
};
use crate::http::{Body, IfMatch, Params, TypedPath, answering, shown_once, tag_of};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, webhooks};

problems! {
    CreateProblems: BadJson, UnknownSite, BodyTooLarge, UnsupportedMediaType, Invalid, SecretShown,
        Internal;
    ListProblems: Internal;
    ReadProblems: BadPath, UnknownWebhook, Internal;
    ReplaceProblems: BadJson, BadPath, BadHeader, UnknownWebhook, UnknownSite, ChangedSince,
        BodyTooLarge, UnsupportedMediaType, Invalid, Internal;
    RenewProblems: BadPath, UnknownWebhook, SecretShown, Internal;
    DeleteProblems: BadPath, BadHeader, UnknownWebhook, ChangedSince, Internal;
    LogProblems: BadPath, BadQuery, UnknownWebhook, Internal;
    ResendProblems: BadPath, UnknownWebhook, UnknownDelivery, Internal;
}

/// The webhooks.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WebhookList {
    /// All webhooks, oldest first.
    webhooks: Vec<Webhook>,
}

/// Deliveries to a webhook.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct DeliveryList {
    /// The deliveries, latest first.
    deliveries: Vec<Delivery>,
    /// What to send as `before` for the deliveries that follow; none at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    next: Option<DeliveryId>,
}

/// A path that names a webhook.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct WebhookPath {
    /// The webhook's id.
    #[param(inline, example = "hook_01975c1e7a587b3e9d2c5d1f0a4b6c7d")]
    webhook: WebhookId,
}

/// A path that names a delivery.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct DeliveryPath {
    /// The webhook's id.
    #[param(inline, example = "hook_01975c1e7a587b3e9d2c5d1f0a4b6c7d")]
    webhook: WebhookId,
    /// The delivery's id.
    #[param(inline, example = "msg_01975c1e7a587b3e9d2c5d1f0a4b6c7d")]
    delivery: DeliveryId,
}

/// Where to go on in the log.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PageParams {
    /// Deliveries written down before this one.
    #[param(inline, example = "msg_01975c1e7a587b3e9d2c5d1f0a4b6c7d")]
    before: Option<DeliveryId>,
    /// At most this many deliveries; 100 where nothing is said.
    #[param(value_type = Option<u16>, minimum = 1, maximum = 500, example = 50)]
    limit: Option<PageSize>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_webhooks)
        .service(create_webhook)
        .service(read_webhook)
        .service(replace_webhook)
        .service(delete_webhook)
        .service(renew_webhook_secret)
        .service(list_webhook_deliveries)
        .service(resend_webhook_delivery);
}

/// List the webhooks.
#[utoipa::path(
    tag = "webhooks",
    responses((status = 200, description = "All of them.", body = WebhookList), ListProblems),
    security(("key" = ["admin"]))
)]
#[get("/v1/webhooks")]
pub(crate) async fn list_webhooks(service: web::Data<Service>) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(|conn| Ok::<_, Refusal>(webhooks::list(conn)?))
        .await?;
    Ok(HttpResponse::Ok().json(WebhookList { webhooks: found }))
}

/// Create a webhook: events from now on are delivered to an address.
///
/// Each delivery is a POST of one event as JSON, the same as `GET /v1/events` lists, signed as the
/// open Standard Webhooks specification describes: `webhook-id` (the same when it is sent again),
/// `webhook-timestamp` (Unix seconds) and `webhook-signature` (`v1,` and the base64 of
/// HMAC-SHA256 over id, time and body, joined by full stops). A status from 200 to 299 within 15
/// seconds is success; anything else is tried again, after 5 seconds first and then ever more seldom
/// for about three days. Redirects are not followed. Use `seq` for the order and to drop what came
/// twice. An address that fails for five days, or answers 410, is disabled; so is a webhook whose maker
/// has ended, a key that was revoked or ran out or a person who is gone. Whoever replaces a webhook is
/// its maker from then on.
#[utoipa::path(
    tag = "webhooks",
    request_body(content = WebhookRequest, description = "Where to, and what."),
    responses(
        (status = 201, description = "The webhook, with its secret, which is shown this once.",
            body = WebhookSecret,
            headers(("Location" = String, description = "Path of the webhook."))),
        CreateProblems
    ),
    security(("key" = ["admin"]))
)]
#[post("/v1/webhooks")]
pub(crate) async fn create_webhook(
    service: web::Data<Service>,
    actor: Actor,
    Body(request): Body<WebhookRequest>,
) -> Result<HttpResponse, Problem> {
    let private = service.private_webhooks;
    let made = service
        .store
        .write(move |conn| app::webhooks::make(conn, &actor, &request, private))
        .await?;
    Ok(shown_once(
        HttpResponse::Created()
            .insert_header((LOCATION, format!("/v1/webhooks/{}", made.webhook.id)))
            .json(made),
    ))
}

/// Read a webhook; its secret is not shown.
#[utoipa::path(
    tag = "webhooks",
    params(WebhookPath),
    responses(
        (status = 200, description = "The webhook.", body = Webhook,
            headers(("ETag" = String, description = "What it is told, for If-Match."))),
        ReadProblems
    ),
    security(("key" = ["admin"]))
)]
#[get("/v1/webhooks/{webhook}")]
pub(crate) async fn read_webhook(
    service: web::Data<Service>,
    TypedPath(WebhookPath { webhook: id }): TypedPath<WebhookPath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| app::webhooks::load(conn, id))
        .await?;
    Ok(tagged(&found)?)
}

/// Replace what a webhook is told, disable it, or enable it again.
///
/// One that is enabled again is told what happens from then on; `GET /v1/events` tells the rest.
#[utoipa::path(
    tag = "webhooks",
    params(
        WebhookPath,
        ("If-Match" = Option<String>, Header, example = "\"9f86d081884c7d65\"",
            description = "The ETag that was read, or *: it is replaced only if it is still so.")
    ),
    request_body(content = WebhookRequest, description = "The whole webhook, as it is to be."),
    responses(
        (status = 200, description = "The webhook.", body = Webhook,
            headers(("ETag" = String, description = "What it is told now."))),
        ReplaceProblems
    ),
    security(("key" = ["admin"]))
)]
#[put("/v1/webhooks/{webhook}")]
pub(crate) async fn replace_webhook(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(WebhookPath { webhook: id }): TypedPath<WebhookPath>,
    IfMatch(expected): IfMatch,
    Body(request): Body<WebhookRequest>,
) -> Result<HttpResponse, Problem> {
    let private = service.private_webhooks;
    let replace = move |conn: &mut Connection| {
        app::webhooks::replace(conn, &actor, id, &expected, &request, private)
    };
    let webhook = service.store.write(replace).await?;
    Ok(tagged(&webhook)?)
}

/// Take a webhook away, with its log of deliveries.
#[utoipa::path(
    tag = "webhooks",
    params(
        WebhookPath,
        ("If-Match" = Option<String>, Header, example = "\"9f86d081884c7d65\"",
            description = "The ETag that was read, or *: it goes only if it is still so.")
    ),
    responses((status = 204, description = "The webhook is gone."), DeleteProblems),
    security(("key" = ["admin"]))
)]
#[delete("/v1/webhooks/{webhook}")]
pub(crate) async fn delete_webhook(
    service: web::Data<Service>,
    TypedPath(WebhookPath { webhook: id }): TypedPath<WebhookPath>,
    IfMatch(expected): IfMatch,
) -> Result<HttpResponse, Problem> {
    service
        .store
        .write(move |conn| app::webhooks::delete(conn, id, &expected))
        .await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Give a webhook a new secret; the one before is worth nothing any more.
#[utoipa::path(
    tag = "webhooks",
    params(WebhookPath),
    responses(
        (status = 200, description = "The webhook, with its new secret, which is shown this once.",
            body = WebhookSecret),
        RenewProblems
    ),
    security(("key" = ["admin"]))
)]
#[post("/v1/webhooks/{webhook}/secret")]
pub(crate) async fn renew_webhook_secret(
    service: web::Data<Service>,
    TypedPath(WebhookPath { webhook: id }): TypedPath<WebhookPath>,
) -> Result<HttpResponse, Problem> {
    let renewed = service
        .store
        .write(move |conn| app::webhooks::renew(conn, id))
        .await?;
    Ok(shown_once(HttpResponse::Ok().json(renewed)))
}

/// List what was delivered to a webhook, and what was not.
#[utoipa::path(
    tag = "webhooks",
    params(WebhookPath, PageParams),
    responses(
        (status = 200, description = "Deliveries, latest first.", body = DeliveryList),
        LogProblems
    ),
    security(("key" = ["admin"]))
)]
#[get("/v1/webhooks/{webhook}/deliveries")]
pub(crate) async fn list_webhook_deliveries(
    service: web::Data<Service>,
    TypedPath(WebhookPath { webhook: id }): TypedPath<WebhookPath>,
    Params(PageParams { before, limit }): Params<PageParams>,
) -> Result<HttpResponse, Problem> {
    let limit = limit.unwrap_or_default();
    let mut found = service
        .store
        .read(move |conn| {
            app::webhooks::load(conn, id)?;
            Ok::<_, Refusal>(webhooks::log(conn, id, before, limit.and_one())?)
        })
        .await?;
    let next = limit.next(&mut found, |delivery| delivery.id);
    Ok(HttpResponse::Ok().json(DeliveryList {
        deliveries: found,
        next,
    }))
}

/// Send a delivery again, whatever became of it.
#[utoipa::path(
    tag = "webhooks",
    params(DeliveryPath),
    responses(
        (status = 202, description = "It is about to be sent.", body = Delivery),
        ResendProblems
    ),
    security(("key" = ["admin"]))
)]
#[post("/v1/webhooks/{webhook}/deliveries/{delivery}/resend")]
pub(crate) async fn resend_webhook_delivery(
    service: web::Data<Service>,
    TypedPath(DeliveryPath { webhook, delivery }): TypedPath<DeliveryPath>,
) -> Result<HttpResponse, Problem> {
    let resend = move |conn: &mut Connection| app::webhooks::resend(conn, webhook, delivery);
    let tell = |sent: &_| HttpResponse::Accepted().json(sent);
    answering(&service.store, resend, tell).await
}

fn tagged(webhook: &Webhook) -> Result<HttpResponse, Refusal> {
    let tag = tag_of(&app::webhooks::told(webhook))?;
    Ok(HttpResponse::Ok().insert_header(tag).json(webhook))
}
