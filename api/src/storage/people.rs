//! People and their sessions in the database; of each secret, only its hash.

use chrono::{DateTime, Duration, NaiveDateTime, Utc};
use diesel::prelude::*;

use super::row::{self, Row};
use super::schema::{people, sessions};
use super::{Connection, StorageError};
use crate::domain::access::{Actor, ActorKind, PersonId, PersonView, Scope, Token};
use crate::domain::{Refusal, time};

#[derive(Queryable, Selectable)]
#[diesel(table_name = people)]
struct Person {
    id: String,
    name: String,
    scopes: String,
    sites: Option<String>,
    created_at: NaiveDateTime,
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
    end_sessions(conn, id)
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
    end_sessions(conn, id)?;
    diesel::delete(people::table.find(id.to_string())).execute(conn)?;
    Ok(())
}

fn end_sessions(conn: &mut Connection, id: PersonId) -> Result<(), StorageError> {
    diesel::delete(sessions::table.filter(sessions::person.eq(id.to_string()))).execute(conn)?;
    Ok(())
}

/// How long a session lasts: a long shift.
pub(crate) const SESSION: Duration = Duration::hours(12);

/// Begins a session. Those that ran out are cleared away.
pub(crate) fn sign_in(
    conn: &mut Connection,
    person: PersonId,
    token: &Token,
) -> Result<DateTime<Utc>, StorageError> {
    let now = time::now();
    let end = now + SESSION;
    diesel::delete(sessions::table.filter(sessions::expires_at.le(row::stored(now))))
        .execute(conn)?;
    diesel::insert_into(sessions::table)
        .values((
            sessions::id.eq(&token.id),
            sessions::hash.eq(token.hash()),
            sessions::person.eq(person.to_string()),
            sessions::expires_at.eq(row::stored(end)),
        ))
        .execute(conn)?;
    Ok(end)
}

/// Ends a session.
pub(crate) fn sign_out(conn: &mut Connection, token: &Token) -> Result<(), StorageError> {
    diesel::delete(
        sessions::table
            .find(&token.id)
            .filter(sessions::hash.eq(token.hash())),
    )
    .execute(conn)?;
    Ok(())
}

/// Who is signed in with this token, if the session still lasts.
pub(crate) fn recognise(
    conn: &mut Connection,
    token: &Token,
    now: DateTime<Utc>,
) -> Result<Option<Actor>, StorageError> {
    let person: Option<String> = sessions::table
        .find(&token.id)
        .filter(sessions::hash.eq(token.hash()))
        .filter(sessions::expires_at.gt(row::stored(now)))
        .select(sessions::person)
        .first(conn)
        .optional()?;
    let Some(person) = person else {
        return Ok(None);
    };
    let row: Person = people::table
        .find(person)
        .select(Person::as_select())
        .first(conn)?;
    let person = row.checked()?;
    Ok(Some(Actor {
        grant: person.grant(),
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
            id: row.value(self.id.clone())?,
            name: self.name,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::tests::fresh;
    use super::*;

    fn ines() -> PersonView {
        PersonView {
            id: PersonId::new(),
            name: "Ines".to_owned(),
            scopes: vec![Scope::Floor],
            sites: None,
            created_at: time::now(),
        }
    }

    #[test]
    fn a_session_ends_with_time_with_signing_out_and_with_a_new_password() {
        let (_dir, store) = fresh();
        let person = ines();
        let tokens: Vec<Token> = (0..3)
            .map(|_| Token::new(Token::SESSION).unwrap())
            .collect();
        store
            .write_now(|conn| -> Result<_, StorageError> {
                assert!(insert(conn, &person, "hash")?);
                assert!(!insert(conn, &person, "hash")?);
                for token in &tokens {
                    sign_in(conn, person.id, token)?;
                }
                Ok(())
            })
            .unwrap();
        let known = |token: &Token, at| {
            let found = store.read_now(|conn| recognise(conn, token, at)).unwrap();
            found.map(|actor| actor.name)
        };
        let now = time::now();
        assert_eq!(known(&tokens[0], now).as_deref(), Some("Ines"));
        assert_eq!(
            known(&tokens[0], now + SESSION + Duration::seconds(1)),
            None
        );
        store.write_now(|conn| sign_out(conn, &tokens[0])).unwrap();
        assert_eq!(known(&tokens[0], now), None);
        assert!(known(&tokens[1], now).is_some());
        store
            .write_now(|conn| set_password(conn, person.id, "other"))
            .unwrap();
        assert_eq!(known(&tokens[1], now), None);
        store.write_now(|conn| delete(conn, person.id)).unwrap();
        assert!(store.read_now(list).unwrap().is_empty());
    }
}
