//! API keys: what other systems show.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, delete, get, post, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::access::{Actor, ApiKey, KeyId, KeyRequest};
use crate::http::{Body, IfMatch, TypedPath, shown_once, tag_of};
use crate::problem::{Problem, problems};
use crate::service::Service;

problems! {
    ListProblems: Internal;
    CreateProblems: BadJson, BodyTooLarge, UnsupportedMediaType, Invalid, SecretShown, Internal;
    ReadProblems: BadPath, UnknownKey, Internal;
    RevokeProblems: BadPath, BadHeader, UnknownKey, ChangedSince, Internal;
}

/// The keys there are.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct KeyList {
    /// The keys, the latest first, revoked ones too.
    keys: Vec<ApiKey>,
}

/// A key that was just made.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CreatedKey {
    /// The key.
    #[serde(flatten)]
    about: ApiKey,
    /// Its text, to be sent as `Authorization: Bearer …`. It is shown this once.
    #[schema(example = "fizz_5f3a9c0b12de_…")]
    key: String,
}

/// A path that names a key.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct KeyPath {
    /// The key's id.
    #[param(value_type = String, pattern = "^[0-9a-f]{12}$", example = "5f3a9c0b12de")]
    key: KeyId,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(create_key)
        .service(list_keys)
        .service(read_key)
        .service(revoke_key);
}

/// Make an API key.
///
/// Its text is shown this once; the service keeps a hash of it. Nobody can make a key that may do
/// more than their own, or that lasts longer: where no end is asked for, it ends with its maker's.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    request_body(content = KeyRequest, description = "What the key may do, where and until when."),
    responses(
        (status = 201, description = "The key, with its text.", body = CreatedKey, headers(
            ("Location" = String, description = "Path of the key."),
        )),
        CreateProblems
    )
)]
#[post("/v1/keys")]
pub(crate) async fn create_key(
    service: web::Data<Service>,
    actor: Actor,
    Body(request): Body<KeyRequest>,
) -> Result<HttpResponse, Problem> {
    let (about, key) = service
        .store
        .write(move |conn| app::keys::make(conn, &actor, request))
        .await?;
    Ok(shown_once(
        HttpResponse::Created()
            .insert_header((LOCATION, format!("/v1/keys/{}", about.id)))
            .json(CreatedKey { about, key }),
    ))
}

/// List the API keys there are.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    responses((status = 200, description = "The keys, latest first.", body = KeyList), ListProblems)
)]
#[get("/v1/keys")]
pub(crate) async fn list_keys(
    service: web::Data<Service>,
    actor: Actor,
) -> Result<HttpResponse, Problem> {
    let keys = service
        .store
        .read(move |conn| app::keys::list(conn, &actor))
        .await?;
    Ok(HttpResponse::Ok().json(KeyList { keys }))
}

/// Read about an API key; its text is not shown.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    params(KeyPath),
    responses(
        (status = 200, description = "The key.", body = ApiKey,
            headers(("ETag" = String, description = "What is known of it, for If-Match."))),
        ReadProblems
    )
)]
#[get("/v1/keys/{key}")]
pub(crate) async fn read_key(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(KeyPath { key: id }): TypedPath<KeyPath>,
) -> Result<HttpResponse, Problem> {
    let key = service
        .store
        .read(move |conn| app::keys::load(conn, &actor, &id))
        .await?;
    Ok(HttpResponse::Ok().insert_header(tag_of(&key)?).json(key))
}

/// Revoke an API key.
///
/// It stops working at once, in other processes on the same database within a second, and stays in
/// the list. Webhooks it made are disabled until somebody takes them over, and calendar feeds it made
/// lead nowhere any more.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    params(
        KeyPath,
        ("If-Match" = Option<String>, Header, example = "\"9f86d081884c7d65\"",
            description = "The ETag that was read, or *: it is revoked only if it is still so.")
    ),
    responses((status = 204, description = "It opens nothing any more."), RevokeProblems)
)]
#[delete("/v1/keys/{key}")]
pub(crate) async fn revoke_key(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(KeyPath { key: id }): TypedPath<KeyPath>,
    IfMatch(expected): IfMatch,
) -> Result<HttpResponse, Problem> {
    app::keys::revoke(&service, actor, id, expected).await?;
    Ok(HttpResponse::NoContent().finish())
}
