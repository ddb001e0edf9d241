//! People: added, changed, taken away and erased by those who may do as much.

use serde::Serialize;

use crate::domain::access::{
    Actor, Grant, PersonChange, PersonId, PersonRequest, PersonView, Scope,
};
use crate::domain::tags::{ExpectedTag, tag_of};
use crate::domain::{Refusal, time};
use crate::hashing::Caller;
use crate::service::Service;
use crate::storage::{Connection, erasure, people, webhooks};

/// A person, and the tag of what is known of them.
pub(crate) struct TaggedPerson {
    pub(crate) person: PersonView,
    pub(crate) tag: String,
}

impl TaggedPerson {
    fn of(person: PersonView, password: &str) -> Result<Self, Refusal> {
        let tag = tag_of(&TagInput {
            person: &person,
            password,
        })?;
        Ok(Self { person, tag })
    }

    fn now(conn: &mut Connection, person: PersonView) -> Result<Self, Refusal> {
        let password = people::password(conn, person.id)?;
        Self::of(person, &password)
    }
}

/// What a tag is of: a new password is a change too, though nobody sees it.
#[derive(Serialize)]
struct TagInput<'a> {
    person: &'a PersonView,
    password: &'a str,
}

/// Adds a person who may do no more, and no longer, than whoever adds them.
pub(crate) async fn add(
    service: &Service,
    actor: &Actor,
    request: PersonRequest,
) -> Result<TaggedPerson, Refusal> {
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
    TaggedPerson::of(person, &password)
}

/// The people who may do no more than whoever asks, by name.
pub(crate) fn list(conn: &mut Connection, actor: &Actor) -> Result<Vec<PersonView>, Refusal> {
    let mut known = people::list(conn)?;
    known.retain(|person| actor.grant.covers(&person.grant()));
    Ok(known)
}

/// A person whom somebody may know of.
pub(crate) fn load(
    conn: &mut Connection,
    actor: &Actor,
    id: PersonId,
) -> Result<TaggedPerson, Refusal> {
    let person = known(conn, actor, id)?;
    TaggedPerson::now(conn, person)
}

/// Gives a person a new password or other scopes, as far as whoever does it may.
pub(crate) async fn change(
    service: &Service,
    actor: &Actor,
    id: PersonId,
    (expected, change): (ExpectedTag, PersonChange),
) -> Result<TaggedPerson, Refusal> {
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
    let actor = actor.clone();
    service
        .store
        .write(move |conn| {
            let person = known(conn, &actor, id)?;
            let grant = scopes.map(|scopes| widened(&actor, &person, scopes));
            let grant = grant.transpose()?;
            lasting(&actor, &person)?;
            admit(conn, &expected, &person)?;
            if let Some(grant) = grant {
                people::set_scopes(conn, id, &grant.scopes)?;
            }
            if let Some(password) = password {
                people::set_password(conn, id, &password)?;
            }
            let person = people::load(conn, id)?;
            TaggedPerson::now(conn, person)
        })
        .await
}

/// What a person may do with other scopes: no more than whoever gives them.
fn widened(actor: &Actor, person: &PersonView, scopes: Vec<Scope>) -> Result<Grant, Refusal> {
    let grant = Grant::new(scopes, person.sites.clone())?;
    if actor.grant.covers(&grant) {
        return Ok(grant);
    }
    let what = "this person could then do more than you";
    Err(Refusal::forbidden(what))
}

/// Takes away a person who may do no more than whoever takes them away. Webhooks they made are
/// disabled.
pub(crate) fn remove(
    conn: &mut Connection,
    actor: &Actor,
    id: PersonId,
    expected: &ExpectedTag,
) -> Result<(), Refusal> {
    let person = known(conn, actor, id)?;
    admit(conn, expected, &person)?;
    people::delete(conn, id)?;
    Ok(webhooks::disable_orphans(conn, time::now())?)
}

/// Erases a person's name, and gives what stands in its place.
pub(crate) fn erase(conn: &mut Connection, actor: &Actor, id: PersonId) -> Result<String, Refusal> {
    if actor.grant.sites.is_some() {
        return Err(Refusal::forbidden("this is about all sites"));
    }
    if people::load(conn, id).is_ok() {
        known(conn, actor, id)?;
    }
    let erased = erasure::erase(conn, id)?;
    webhooks::disable_orphans(conn, time::now())?;
    erased.ok_or(Refusal::UnknownPerson(id))
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

fn admit(
    conn: &mut Connection,
    expected: &ExpectedTag,
    person: &PersonView,
) -> Result<(), Refusal> {
    let password = &people::password(conn, person.id)?;
    expected.admit(Some(&TagInput { person, password }))
}
