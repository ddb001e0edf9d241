//! API keys in the database; of each secret, only its hash.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::prelude::*;

use super::row::{self, Row};
use super::schema::api_keys as keys;
use super::{Connection, StorageError};
use crate::domain::access::{Actor, ActorKind, ApiKey, KeyId, NewKey, Token};
use crate::domain::{Refusal, time};

#[derive(Queryable, Selectable)]
#[diesel(table_name = keys)]
struct Key {
    id: String,
    name: String,
    scopes: String,
    sites: Option<String>,
    created_at: NaiveDateTime,
    expires_at: Option<NaiveDateTime>,
    revoked_at: Option<NaiveDateTime>,
}

/// Adds a key.
pub(crate) fn insert(conn: &mut Connection, key: &NewKey) -> Result<ApiKey, StorageError> {
    let sites = key.grant.sites.as_ref();
    diesel::insert_into(keys::table)
        .values((
            keys::id.eq(&key.token.id),
            keys::hash.eq(key.token.hash()),
            keys::name.eq(&key.name),
            keys::scopes.eq(row::text("scopes", &key.grant.scopes)?),
            keys::sites.eq(sites.map(|list| row::text("sites", list)).transpose()?),
            keys::created_at.eq(row::stored(key.created_at)),
            keys::expires_at.eq(key.expires_at.map(row::stored)),
        ))
        .execute(conn)?;
    let row: Key = keys::table
        .find(&key.token.id)
        .select(Key::as_select())
        .first(conn)?;
    row.checked()
}

/// All keys, the latest first.
pub(crate) fn list(conn: &mut Connection) -> Result<Vec<ApiKey>, StorageError> {
    let rows: Vec<Key> = keys::table
        .order((keys::created_at.desc(), keys::id))
        .select(Key::as_select())
        .load(conn)?;
    rows.into_iter().map(Key::checked).collect()
}

/// Whether there ever was a key.
pub(crate) fn any(conn: &mut Connection) -> Result<bool, StorageError> {
    let found: Option<String> = keys::table.select(keys::id).first(conn).optional()?;
    Ok(found.is_some())
}

/// A key that must exist.
pub(crate) fn load(conn: &mut Connection, id: &KeyId) -> Result<ApiKey, Refusal> {
    let found: Option<Key> = keys::table
        .find(id.as_str())
        .select(Key::as_select())
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let row = found.ok_or_else(|| Refusal::UnknownKey(id.clone()))?;
    Ok(row.checked()?)
}

/// Ends a key. One that has ended already stays as it is.
pub(crate) fn revoke(conn: &mut Connection, id: &KeyId) -> Result<(), StorageError> {
    diesel::update(
        keys::table
            .find(id.as_str())
            .filter(keys::revoked_at.is_null()),
    )
    .set(keys::revoked_at.eq(row::stored(time::now())))
    .execute(conn)?;
    Ok(())
}

/// Who shows this key, if it works.
pub(crate) fn recognise(
    conn: &mut Connection,
    token: &Token,
    now: DateTime<Utc>,
) -> Result<Option<Actor>, StorageError> {
    let found: Option<Key> = keys::table
        .find(&token.id)
        .filter(keys::hash.eq(token.hash()))
        .select(Key::as_select())
        .first(conn)
        .optional()?;
    found.map_or(Ok(None), |row| row.actor(now))
}

/// A key as somebody who asks, if it works.
pub(super) fn actor(
    conn: &mut Connection,
    id: &str,
    now: DateTime<Utc>,
) -> Result<Option<Actor>, StorageError> {
    let found: Option<Key> = keys::table
        .find(id)
        .select(Key::as_select())
        .first(conn)
        .optional()?;
    found.map_or(Ok(None), |row| row.actor(now))
}

impl Key {
    fn actor(self, now: DateTime<Utc>) -> Result<Option<Actor>, StorageError> {
        let key = self.checked()?;
        Ok(key.works_at(now).then(|| Actor {
            grant: key.grant(),
            ends_at: key.expires_at,
            name: key.name,
            id: key.id.into(),
            kind: ActorKind::Key,
        }))
    }

    fn checked(self) -> Result<ApiKey, StorageError> {
        let row = Row {
            table: "api_keys",
            key: &self.id,
        };
        let sites = self.sites.as_deref();
        Ok(ApiKey {
            scopes: row.document(&self.scopes)?,
            sites: sites.map(|text| row.document(text)).transpose()?,
            created_at: self.created_at.and_utc(),
            expires_at: self.expires_at.map(row::utc),
            revoked_at: self.revoked_at.map(|at| at.and_utc()),
            id: row.value(self.id.clone())?,
            name: self.name,
        })
    }
}

#[cfg(test)]
mod tests {
    use chrono::Duration;

    use super::super::pool::tests::fresh;
    use super::*;

    #[test]
    fn a_key_is_recognised_until_it_ends() {
        let (_dir, store) = fresh();
        let now = time::now();
        let mut key = NewKey::first(now).unwrap();
        key.expires_at = Some(now + Duration::hours(1));
        let made = store.write_now(|conn| insert(conn, &key)).unwrap();
        let known = |token: &Token, at| {
            let found = store.read_now(|conn| recognise(conn, token, at)).unwrap();
            found.is_some()
        };
        assert!(known(&key.token, now));
        assert!(!known(&key.token, now + Duration::hours(1)));
        assert!(!known(&Token::new(Token::KEY).unwrap(), now));
        store.write_now(|conn| revoke(conn, &made.id)).unwrap();
        assert!(!known(&key.token, now));
        let listed = store.read_now(list).unwrap();
        assert!(listed[0].revoked_at.is_some());
    }

    #[test]
    fn the_secret_is_not_in_the_database() {
        let (dir, store) = fresh();
        let key = NewKey::first(time::now()).unwrap();
        store.write_now(|conn| insert(conn, &key)).unwrap();
        drop(store);
        let secret = key.token.reveal()[18..].to_owned();
        for entry in std::fs::read_dir(dir.path()).unwrap() {
            let bytes = std::fs::read(entry.unwrap().path()).unwrap();
            let text = String::from_utf8_lossy(&bytes);
            assert!(!text.contains(&secret));
        }
    }
}
