//! People: who signs in with a name and a password.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, HttpResponseBuilder, delete, get, patch, post, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use super::changed;
use crate::app;
use crate::app::people::TaggedPerson;
use crate::domain::Refusal;
use crate::domain::access::{Actor, PersonChange, PersonId, PersonRequest, PersonView};
use crate::http::{Body, IfMatch, TypedPath, strong_tag};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::Connection;

problems! {
    ListProblems: Internal;
    AddProblems: BadJson, BodyTooLarge, UnsupportedMediaType, PersonExists, Invalid, Busy,
        Internal;
    ReadProblems: BadPath, UnknownPerson, Internal;
    ChangeProblems: BadJson, BadPath, BadHeader, UnknownPerson, ChangedSince, BodyTooLarge,
        UnsupportedMediaType, Invalid, Busy, Internal;
    EraseProblems: BadPath, UnknownPerson, Internal;
    RemoveProblems: BadPath, BadHeader, UnknownPerson, ChangedSince, Internal;
}

/// The people there are.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PersonList {
    /// Everybody, by name.
    people: Vec<PersonView>,
}

/// What became of a name.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ErasedPerson {
    /// What stands in its place from now on.
    #[schema(example = "person 3f2a91bc")]
    now_called: String,
}

/// A path that names a person.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct PersonPath {
    /// The person's id.
    #[param(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    person: PersonId,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(add_person)
        .service(list_people)
        .service(read_person)
        .service(change_person)
        .service(remove_person)
        .service(erase_person);
}

/// Add a person.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    request_body(content = PersonRequest, description = "Name, password, and what they may do."),
    responses(
        (status = 201, description = "The person.", body = PersonView, headers(
            ("Location" = String, description = "Path of the person."),
            ("ETag" = String, description = "What is known of them, for If-Match."),
        )),
        AddProblems
    )
)]
#[post("/v1/people")]
pub(crate) async fn add_person(
    service: web::Data<Service>,
    actor: Actor,
    Body(request): Body<PersonRequest>,
) -> Result<HttpResponse, Problem> {
    let added = app::people::add(&service, &actor, request).await?;
    let mut response = HttpResponse::Created();
    response.insert_header((LOCATION, format!("/v1/people/{}", added.person.id)));
    Ok(tagged(response, added))
}

/// List the people there are.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    responses((status = 200, description = "Everybody, by name.", body = PersonList), ListProblems)
)]
#[get("/v1/people")]
pub(crate) async fn list_people(
    service: web::Data<Service>,
    actor: Actor,
) -> Result<HttpResponse, Problem> {
    let people = service
        .store
        .read(move |conn| app::people::list(conn, &actor))
        .await?;
    Ok(HttpResponse::Ok().json(PersonList { people }))
}

/// Read what is known of a person.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    params(PersonPath),
    responses(
        (status = 200, description = "The person.", body = PersonView,
            headers(("ETag" = String, description = "What is known of them, for If-Match."))),
        ReadProblems
    )
)]
#[get("/v1/people/{person}")]
pub(crate) async fn read_person(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(PersonPath { person: id }): TypedPath<PersonPath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| app::people::load(conn, &actor, id))
        .await?;
    Ok(tagged(HttpResponse::Ok(), found))
}

/// Give a person a new password or other scopes.
///
/// What is left out stays. A new password ends all their sessions. A key that ends can change only
/// those who end no later.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    params(
        PersonPath,
        ("If-Match" = Option<String>, Header, example = "\"9f86d081884c7d65\"",
            description = "The ETag that was read, or *: they are changed only if still so.")
    ),
    request_body(content = PersonChange, description = "What is to be different."),
    responses(
        (status = 200, description = "The person as they are now.", body = PersonView,
            headers(("ETag" = String, description = "What is known of them now."))),
        ChangeProblems
    )
)]
#[patch("/v1/people/{person}")]
pub(crate) async fn change_person(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(PersonPath { person: id }): TypedPath<PersonPath>,
    IfMatch(expected): IfMatch,
    Body(change): Body<PersonChange>,
) -> Result<HttpResponse, Problem> {
    let changed = app::people::change(&service, &actor, id, (expected, change)).await?;
    Ok(tagged(HttpResponse::Ok(), changed))
}

/// Take a person away. Their sessions end.
///
/// Webhooks they made are disabled until somebody takes them over, and calendar feeds they made lead
/// nowhere any more. Their name stays in the trail; `POST /v1/people/{person}/erase` takes it out.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    params(
        PersonPath,
        ("If-Match" = Option<String>, Header, example = "\"9f86d081884c7d65\"",
            description = "The ETag that was read, or *: they go only if they are still so.")
    ),
    responses((status = 204, description = "They are gone."), RemoveProblems)
)]
#[delete("/v1/people/{person}")]
pub(crate) async fn remove_person(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(PersonPath { person: id }): TypedPath<PersonPath>,
    IfMatch(expected): IfMatch,
) -> Result<HttpResponse, Problem> {
    service
        .store
        .write(move |conn| app::people::remove(conn, &actor, id, &expected))
        .await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Erase a person's name, on their request.
///
/// They are taken away, if they are still there, and wherever they are named as whoever did, said or
/// published something, in the audit trail, in work, readings, publications and events, a pseudonym
/// stands instead: always the same for the same person, so that the trail stays whole. What was
/// written as a note stays as it is, and so do backups that were made before. Where somebody else said
/// they have the same name, that is replaced too.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    params(PersonPath),
    responses(
        (status = 200, description = "What stands in its place.", body = ErasedPerson),
        EraseProblems
    )
)]
#[post("/v1/people/{person}/erase")]
pub(crate) async fn erase_person(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(PersonPath { person: id }): TypedPath<PersonPath>,
) -> Result<HttpResponse, Problem> {
    let erase = move |conn: &mut Connection| {
        let now_called = app::people::erase(conn, &actor, id)?;
        Ok::<_, Refusal>(ErasedPerson { now_called })
    };
    changed(&service, erase).await
}

fn tagged(mut response: HttpResponseBuilder, found: TaggedPerson) -> HttpResponse {
    response
        .insert_header(strong_tag(found.tag))
        .json(found.person)
}
