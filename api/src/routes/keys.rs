//! API keys: what other systems show.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, delete, get, post, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::access::{Actor, ApiKey, KeyId, KeyRequest};
use crate::domain::{Refusal, time};
use crate::http::{Body, IfMatch, TypedPath, shown_once, tag_of};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, keys, webhooks};

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
    let (about, key) = make(&service, &actor, request).await?;
    Ok(shown_once(
        HttpResponse::Created()
            .insert_header((LOCATION, format!("/v1/keys/{}", about.id)))
            .json(CreatedKey { about, key }),
    ))
}

/// Makes a key that may do no more than whoever makes it, and gives its text.
pub(crate) async fn make(
    service: &Service,
    actor: &Actor,
    request: KeyRequest,
) -> Result<(ApiKey, String), Refusal> {
    let mut made = request.make(time::now())?;
    made.expires_at = actor.bounded(made.expires_at)?;
    if !actor.grant.covers(&made.grant) {
        return Err(Refusal::forbidden("this key may do more than your own"));
    }
    let key = made.token.reveal();
    let about = service
        .store
        .write(move |conn| Ok::<_, Refusal>(keys::insert(conn, &made)?))
        .await?;
    Ok((about, key))
}

/// List the API keys there are.
#[utoipa::path(
    tag = "access",
    security(("key" = ["admin"])),
    responses((status = 200, description = "The keys, latest first.", body = KeyList), ListProblems)
)]
#[get("/v1/keys")]
pub(crate) async fn list_keys(
    service: web::Data<Service>,
    actor: Actor,
) -> Result<HttpResponse, Problem> {
    let mut keys = service
        .store
        .read(|conn| Ok::<_, Refusal>(keys::list(conn)?))
        .await?;
    keys.retain(|key| actor.grant.covers(&key.grant()));
    Ok(HttpResponse::Ok().json(KeyList { keys }))
}

/// Read about an API key; its text is not shown.
#[utoipa::path(
    tag = "access",
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
        .read(move |conn| known(conn, &actor, &id))
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
    expected: IfMatch,
) -> Result<HttpResponse, Problem> {
    revoke(&service, actor, id, expected).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Revokes a key that may do no more than whoever revokes it.
pub(crate) async fn revoke(
    service: &Service,
    actor: Actor,
    id: KeyId,
    expected: IfMatch,
) -> Result<(), Refusal> {
    let revoked = service.store.write(move |conn| {
        let key = known(conn, &actor, &id)?;
        expected.admit(Some(&key))?;
        keys::revoke(conn, &id)?;
        Ok::<_, Refusal>(webhooks::disable_orphans(conn, time::now())?)
    });
    revoked.await?;
    service.known.forget();
    Ok(())
}

/// A key that somebody may know of.
fn known(conn: &mut Connection, actor: &Actor, id: &KeyId) -> Result<ApiKey, Refusal> {
    let key = keys::load(conn, id)?;
    if actor.grant.covers(&key.grant()) {
        Ok(key)
    } else {
        Err(Refusal::UnknownKey(id.clone()))
    }
}
