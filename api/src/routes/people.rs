//! People: who signs in with a name and a password.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, HttpResponseBuilder, delete, get, patch, post, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::access::{Actor, Grant, PersonChange, PersonId, PersonRequest, PersonView};
use crate::domain::{Refusal, time};
use crate::hashing::Caller;
use crate::http::{Body, IfMatch, TypedPath, tag_of};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, erasure, people, webhooks};

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
    let (person, password) = add(&service, &actor, request).await?;
    let mut response = HttpResponse::Created();
    response.insert_header((LOCATION, format!("/v1/people/{}", person.id)));
    Ok(tagged(response, &person, &password)?)
}

/// Adds a person who may do no more, and no longer, than whoever adds them; also gives what is kept of the password.
pub(crate) async fn add(
    service: &Service,
    actor: &Actor,
    request: PersonRequest,
) -> Result<(PersonView, String), Refusal> {
    let (mut person, password) = service
        .hashing
        .run(Caller::Known, move || request.make(time::now()))
        .await?;
    person.ends_at = actor.bounded(None)?;
    if !actor.grant.covers(&person.grant()) {
        return Err(Refusal::forbidden("this person may do more than you"));
    }
    let (added, kept) = (person.clone(), password.clone());
    service
        .store
        .write(move |conn| match people::insert(conn, &added, &kept)? {
            true => Ok(()),
            false => Err(Refusal::PersonExists(added.name)),
        })
        .await?;
    Ok((person, password))
}

/// List the people there are.
#[utoipa::path(
    tag = "access",
    security(("key" = ["admin"])),
    responses((status = 200, description = "Everybody, by name.", body = PersonList), ListProblems)
)]
#[get("/v1/people")]
pub(crate) async fn list_people(
    service: web::Data<Service>,
    actor: Actor,
) -> Result<HttpResponse, Problem> {
    let mut people = service
        .store
        .read(|conn| Ok::<_, Refusal>(people::list(conn)?))
        .await?;
    people.retain(|person| actor.grant.covers(&person.grant()));
    Ok(HttpResponse::Ok().json(PersonList { people }))
}

/// Read what is known of a person.
#[utoipa::path(
    tag = "access",
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
    let (person, password) = service
        .store
        .read(move |conn| {
            let person = known(conn, &actor, id)?;
            Ok::<_, Refusal>((person, people::password(conn, id)?))
        })
        .await?;
    Ok(tagged(HttpResponse::Ok(), &person, &password)?)
}

/// Give a person a new password or other scopes.
///
/// What is left out stays. A new password ends all their sessions. A key that ends can change only
/// those who end no later.
#[utoipa::path(
    tag = "access",
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
    expected: IfMatch,
    Body(change): Body<PersonChange>,
) -> Result<HttpResponse, Problem> {
    let PersonChange { password, scopes } = change;
    let password = match password {
        Some(password) => {
            let asking = actor.clone();
            let name = service
                .store
                .read(move |conn| known(conn, &asking, id).map(|person| person.name))
                .await?;
            let hash = move || password.hash("password", &name);
            Some(service.hashing.run(Caller::Known, hash).await?)
        }
        None => None,
    };
    let (person, password) = service
        .store
        .write(move |conn| {
            let person = known(conn, &actor, id)?;
            let grant = match scopes {
                Some(scopes) => Some(Grant::new(scopes, person.sites.clone())?),
                None => None,
            };
            if grant
                .as_ref()
                .is_some_and(|grant| !actor.grant.covers(grant))
            {
                return Err(Refusal::forbidden(
                    "this person could then do more than you",
                ));
            }
            lasting(&actor, &person)?;
            admit(conn, &expected, &person)?;
            if let Some(grant) = grant {
                people::set_scopes(conn, id, &grant.scopes)?;
            }
            if let Some(password) = password {
                people::set_password(conn, id, &password)?;
            }
            Ok((people::load(conn, id)?, people::password(conn, id)?))
        })
        .await?;
    Ok(tagged(HttpResponse::Ok(), &person, &password)?)
}

/// Take a person away. Their sessions end.
///
/// Webhooks they made are disabled until somebody takes them over, and calendar feeds they made lead
/// nowhere any more. Their name stays in the trail; `POST /v1/people/{person}/erase` takes it out.
#[utoipa::path(
    tag = "access",
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
    expected: IfMatch,
) -> Result<HttpResponse, Problem> {
    service
        .store
        .write(move |conn| {
            let person = known(conn, &actor, id)?;
            admit(conn, &expected, &person)?;
            remove(conn, &actor, id)
        })
        .await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Takes away a person who may do no more than whoever takes them away.
pub(crate) fn remove(conn: &mut Connection, actor: &Actor, id: PersonId) -> Result<(), Refusal> {
    known(conn, actor, id)?;
    people::delete(conn, id)?;
    Ok(webhooks::disable_orphans(conn, time::now())?)
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
    let now_called = service
        .store
        .write(move |conn| {
            if actor.grant.sites.is_some() {
                return Err(Refusal::forbidden("this is about all sites"));
            }
            if people::load(conn, id).is_ok() {
                known(conn, &actor, id)?;
            }
            let erased = erasure::erase(conn, id)?;
            webhooks::disable_orphans(conn, time::now())?;
            erased.ok_or(Refusal::UnknownPerson(id))
        })
        .await?;
    Ok(HttpResponse::Ok().json(ErasedPerson { now_called }))
}

/// A person whom somebody may know of.
fn known(conn: &mut Connection, actor: &Actor, id: PersonId) -> Result<PersonView, Refusal> {
    let person = people::load(conn, id)?;
    if actor.grant.covers(&person.grant()) {
        Ok(person)
    } else {
        Err(Refusal::UnknownPerson(id))
    }
}

/// Who ends gives nobody what would outlast them: a password, or more that may be done.
fn lasting(actor: &Actor, person: &PersonView) -> Result<(), Refusal> {
    if actor.covers(&person.grant(), person.ends_at) {
        return Ok(());
    }
    Err(Refusal::forbidden(format!(
        "\"{}\" ends, and what it would give this person does not",
        actor.name
    )))
}

/// What an ETag is of: a new password is a change too, though nobody sees it.
#[derive(Serialize)]
struct EtagInput<'a> {
    person: &'a PersonView,
    password: &'a str,
}

fn admit(conn: &mut Connection, expected: &IfMatch, person: &PersonView) -> Result<(), Refusal> {
    let password = &people::password(conn, person.id)?;
    expected.admit(Some(&EtagInput { person, password }))
}

fn tagged(
    mut response: HttpResponseBuilder,
    person: &PersonView,
    password: &str,
) -> Result<HttpResponse, Refusal> {
    let tag = tag_of(&EtagInput { person, password })?;
    Ok(response.insert_header(tag).json(person))
}
