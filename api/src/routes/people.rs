//! People: who signs in with a name and a password.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, HttpResponseBuilder, delete, get, patch, post, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::access::{Actor, Grant, PersonChange, PersonId, PersonRequest, PersonView};
use crate::domain::{Refusal, time};
use crate::http::{At, Body, IfMatch, slow, tag_of};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, people};

problems! {
    ListProblems: Internal;
    AddProblems: BadJson, BodyTooLarge, UnsupportedMediaType, PersonExists, Invalid, Internal;
    ReadProblems: BadPath, UnknownPerson, Internal;
    ChangeProblems: BadJson, BadPath, BadHeader, UnknownPerson, ChangedSince, BodyTooLarge,
        UnsupportedMediaType, Invalid, Internal;
    RemoveProblems: BadPath, BadHeader, UnknownPerson, ChangedSince, Internal;
}

/// The people there are.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PersonList {
    /// Everybody, by name.
    people: Vec<PersonView>,
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
        .service(remove_person);
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

/// Adds a person who may do no more than whoever adds them; also gives what is kept of the password.
pub(crate) async fn add(
    service: &Service,
    actor: &Actor,
    request: PersonRequest,
) -> Result<(PersonView, String), Refusal> {
    let (person, password) = slow(move || request.make(time::now())).await?;
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
    At(PersonPath { person: id }): At<PersonPath>,
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
/// What is left out stays. A new password ends all their sessions.
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
    At(PersonPath { person: id }): At<PersonPath>,
    expected: IfMatch,
    Body(change): Body<PersonChange>,
) -> Result<HttpResponse, Problem> {
    let PersonChange { password, scopes } = change;
    let password = match password {
        Some(password) => Some(slow(move || password.hash()).await?),
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
    At(PersonPath { person: id }): At<PersonPath>,
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
    Ok(people::delete(conn, id)?)
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

/// What an ETag is of: a new password is a change too, though nobody sees it.
#[derive(Serialize)]
struct Kept<'a> {
    person: &'a PersonView,
    password: &'a str,
}

fn admit(conn: &mut Connection, expected: &IfMatch, person: &PersonView) -> Result<(), Refusal> {
    let password = &people::password(conn, person.id)?;
    expected.admit(Some(&Kept { person, password }))
}

fn tagged(
    mut response: HttpResponseBuilder,
    person: &PersonView,
    password: &str,
) -> Result<HttpResponse, Refusal> {
    let tag = tag_of(&Kept { person, password })?;
    Ok(response.insert_header(tag).json(person))
}
