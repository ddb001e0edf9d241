//! Where people signed in before: browsers by a token of theirs, and addresses. Of both, hashes.

use chrono::{DateTime, Duration, Utc};
use diesel::prelude::*;

use super::row;
use super::schema::sign_in_places as places;
use super::{Connection, StorageError};
use crate::domain::access::{Familiar, Origin, PersonId, Token, hash};

/// How long a place stays known to be somebody's after they signed in there.
pub(crate) const KEPT: Duration = Duration::days(180);

/// The most places that are kept of one person; those they used last.
const MOST: usize = 40;

const DEVICE: &str = "device";
const ADDRESS: &str = "address";

/// An address is of a person: the same one is kept differently of another.
fn address_hash(person: PersonId, address: &str) -> String {
    hash(&[person.to_string().as_bytes(), address.as_bytes()])
}

/// Whether somebody signed in from there before.
pub(crate) fn known(
    conn: &mut Connection,
    person: PersonId,
    origin: &Origin,
    now: DateTime<Utc>,
) -> Result<Familiar, StorageError> {
    let mut seen = |kind: &str, hash: String| -> Result<bool, StorageError> {
        let key = (person.to_string(), kind.to_owned(), hash);
        let found: Option<String> = places::table
            .find(key)
            .filter(places::seen_at.gt(row::stored(now - KEPT)))
            .select(places::kind)
            .first(conn)
            .optional()?;
        Ok(found.is_some())
    };
    if let Some(device) = &origin.device
        && seen(DEVICE, device.hash())?
    {
        return Ok(Familiar::Device(device.id.clone()));
    }
    if seen(ADDRESS, address_hash(person, &origin.address))? {
        return Ok(Familiar::Address);
    }
    Ok(Familiar::No)
}

/// Whether a browser's token was given out by this service: several people may share a browser.
pub(crate) fn issued(conn: &mut Connection, device: &Token) -> Result<bool, StorageError> {
    let found: Option<String> = places::table
        .filter(places::hash.eq(device.hash()))
        .filter(places::kind.eq(DEVICE))
        .select(places::kind)
        .first(conn)
        .optional()?;
    Ok(found.is_some())
}

/// Remembers that somebody signed in from there. What is old, or too much, is forgotten.
pub(crate) fn remember(
    conn: &mut Connection,
    person: PersonId,
    device: &Token,
    address: &str,
    now: DateTime<Utc>,
) -> Result<(), StorageError> {
    let key = person.to_string();
    let here = [
        (DEVICE, device.hash()),
        (ADDRESS, address_hash(person, address)),
    ];
    diesel::delete(places::table.filter(places::seen_at.le(row::stored(now - KEPT))))
        .execute(conn)?;
    for (kind, hash) in here {
        diesel::delete(places::table.find((&key, kind, &hash))).execute(conn)?;
        diesel::insert_into(places::table)
            .values((
                places::person.eq(&key),
                places::kind.eq(kind),
                places::hash.eq(&hash),
                places::seen_at.eq(row::stored(now)),
            ))
            .execute(conn)?;
    }
    let kept: Vec<(String, String)> = places::table
        .filter(places::person.eq(&key))
        .order((places::seen_at.desc(), places::hash))
        .select((places::kind, places::hash))
        .load(conn)?;
    for (kind, hash) in kept.into_iter().skip(MOST) {
        diesel::delete(places::table.find((&key, kind, hash))).execute(conn)?;
    }
    Ok(())
}

/// Forgets all of a person's places.
pub(super) fn forget(conn: &mut Connection, person: PersonId) -> Result<(), StorageError> {
    diesel::delete(places::table.filter(places::person.eq(person.to_string()))).execute(conn)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::people;
    use super::super::pool::tests::fresh;
    use super::*;
    use crate::domain::access::{PersonView, Scope};
    use crate::domain::time;

    #[test]
    fn a_place_is_known_to_whoever_signed_in_there_and_not_for_ever() {
        let (_dir, store) = fresh();
        let person = |name: &str| PersonView {
            id: PersonId::new(),
            name: name.to_owned(),
            scopes: vec![Scope::Floor],
            sites: None,
            created_at: time::now(),
            ends_at: None,
        };
        let (ines, ida) = (person("Ines"), person("Ida"));
        let device = Token::new(Token::DEVICE).unwrap();
        let now = time::now();
        let here = Origin {
            address: "192.0.2.7".to_owned(),
            network: "192.0.2.7".to_owned(),
            device: Some(device.clone()),
        };
        let same_address = Origin {
            device: None,
            ..here.clone()
        };
        store
            .write_now(|conn| -> Result<_, StorageError> {
                people::insert(conn, &ines, "hash")?;
                people::insert(conn, &ida, "hash")?;
                assert!(!issued(conn, &device)?);
                remember(conn, ines.id, &device, &here.address, now)?;
                assert!(issued(conn, &device)?);
                let id = device.id.clone();
                assert_eq!(known(conn, ines.id, &here, now)?, Familiar::Device(id));
                assert_eq!(known(conn, ines.id, &same_address, now)?, Familiar::Address);
                assert_eq!(known(conn, ida.id, &here, now)?, Familiar::No);
                assert_eq!(known(conn, ines.id, &here, now + KEPT)?, Familiar::No);
                for n in 0..40 {
                    let other = Token::new(Token::DEVICE).unwrap();
                    let at = now + Duration::seconds(n + 1);
                    remember(conn, ines.id, &other, &here.address, at)?;
                }
                assert_eq!(known(conn, ines.id, &here, now)?, Familiar::Address);
                people::set_password(conn, ines.id, "other")?;
                assert_eq!(known(conn, ines.id, &here, now)?, Familiar::No);
                Ok(())
            })
            .unwrap();
    }
}
