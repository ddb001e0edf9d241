//! People in the database; of each password, only its hash.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::prelude::*;

use super::row::{self, Row};
use super::schema::people;
use super::{Connection, StorageError, familiar, sessions};
use crate::domain::Refusal;
use crate::domain::access::{Actor, ActorKind, PersonId, PersonView, Scope};

#[derive(Queryable, Selectable)]
#[diesel(table_name = people)]
struct Person {
    id: String,
    name: String,
    scopes: String,
    sites: Option<String>,
    created_at: NaiveDateTime,
    ends_at: Option<NaiveDateTime>,
}

/// Adds a person; false if somebody has that name.
pub(crate) fn insert(
    conn: &mut Connection,
    person: &PersonView,
    password: &str,
) -> Result<bool, StorageError> {
    if by_name(conn, &person.name)?.is_some() {
        return Ok(false);
    }
    let sites = person.sites.as_ref();
    diesel::insert_into(people::table)
        .values((
            people::id.eq(person.id.to_string()),
            people::name.eq(&person.name),
            people::password.eq(password),
            people::scopes.eq(row::text("scopes", &person.scopes)?),
            people::sites.eq(sites.map(|list| row::text("sites", list)).transpose()?),
            people::created_at.eq(row::stored(person.created_at)),
            people::ends_at.eq(person.ends_at.map(row::stored)),
        ))
        .execute(conn)?;
    Ok(true)
}

/// Everybody, by name.
pub(crate) fn list(conn: &mut Connection) -> Result<Vec<PersonView>, StorageError> {
    let rows: Vec<Person> = people::table
        .order(people::name)
        .select(Person::as_select())
        .load(conn)?;
    rows.into_iter().map(Person::checked).collect()
}

/// A person that must exist.
pub(crate) fn load(conn: &mut Connection, id: PersonId) -> Result<PersonView, Refusal> {
    let found: Option<Person> = people::table
        .find(id.to_string())
        .select(Person::as_select())
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let row = found.ok_or(Refusal::UnknownPerson(id))?;
    Ok(row.checked()?)
}

/// What a person is called, if they are there.
pub(super) fn name(conn: &mut Connection, id: PersonId) -> Result<Option<String>, StorageError> {
    let found = people::table.find(id.to_string()).select(people::name);
    Ok(found.first(conn).optional()?)
}

/// What is kept of a person's password.
pub(crate) fn password(conn: &mut Connection, id: PersonId) -> Result<String, StorageError> {
    let key = id.to_string();
    let found = people::table.find(&key).select(people::password);
    Ok(found.first(conn)?)
}

/// A person and what is kept of their password.
pub(crate) fn by_name(
    conn: &mut Connection,
    name: &str,
) -> Result<Option<(PersonView, String)>, StorageError> {
    let found: Option<(Person, String)> = people::table
        .filter(people::name.eq(name))
        .select((Person::as_select(), people::password))
        .first(conn)
        .optional()?;
    found
        .map(|(row, password)| Ok((row.checked()?, password)))
        .transpose()
}

/// Gives a new password. All sessions of the person end.
pub(crate) fn set_password(
    conn: &mut Connection,
    id: PersonId,
    password: &str,
) -> Result<(), StorageError> {
    diesel::update(people::table.find(id.to_string()))
        .set(people::password.eq(password))
        .execute(conn)?;
    // Whoever knew the old one may have signed in somewhere.
    familiar::forget(conn, id)?;
    sessions::end_all(conn, id)
}

/// Sets what a person may do.
pub(crate) fn set_scopes(
    conn: &mut Connection,
    id: PersonId,
    scopes: &[Scope],
) -> Result<(), StorageError> {
    diesel::update(people::table.find(id.to_string()))
        .set(people::scopes.eq(row::text("scopes", &scopes)?))
        .execute(conn)?;
    Ok(())
}

/// Takes a person away, signed in or not.
pub(crate) fn delete(conn: &mut Connection, id: PersonId) -> Result<(), StorageError> {
    sessions::end_all(conn, id)?;
    familiar::forget(conn, id)?;
    diesel::delete(people::table.find(id.to_string())).execute(conn)?;
    Ok(())
}

/// A person as somebody who asks, unless they are gone or their time is over.
pub(super) fn actor(
    conn: &mut Connection,
    id: &str,
    now: DateTime<Utc>,
) -> Result<Option<Actor>, StorageError> {
    let found: Option<Person> = people::table
        .find(id)
        .select(Person::as_select())
        .first(conn)
        .optional()?;
    let Some(row) = found else {
        return Ok(None);
    };
    let person = row.checked()?;
    if !person.lasts_at(now) {
        return Ok(None);
    }
    Ok(Some(Actor {
        grant: person.grant(),
        ends_at: person.ends_at,
        name: person.name,
        id: person.id.into(),
        kind: ActorKind::Person,
    }))
}

impl Person {
    fn checked(self) -> Result<PersonView, StorageError> {
        let row = Row {
            table: "people",
            key: &self.id,
        };
        let sites = self.sites.as_deref();
        Ok(PersonView {
            scopes: row.document(&self.scopes)?,
            sites: sites.map(|text| row.document(text)).transpose()?,
            created_at: self.created_at.and_utc(),
            ends_at: self.ends_at.map(|at| at.and_utc()),
            id: row.value(self.id.clone())?,
            name: self.name,
        })
    }
}
