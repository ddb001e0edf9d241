//! Sessions of people in the database; of each secret, only its hash.

use chrono::{DateTime, Duration, NaiveDateTime, Utc};
use diesel::prelude::*;

use super::row;
use super::schema::sessions;
use super::{Connection, StorageError, people};
use crate::domain::access::{Actor, Browser, OwnSession, PersonId, SESSION, Token};
use crate::domain::time;

/// How exactly it is noted when a session was used last.
const SEEN: Duration = Duration::minutes(1);

#[derive(Queryable, Selectable)]
#[diesel(table_name = sessions)]
struct Session {
    id: String,
    person: String,
    expires_at: NaiveDateTime,
    begun_at: Option<NaiveDateTime>,
    seen_at: Option<NaiveDateTime>,
    address: Option<String>,
    agent: Option<String>,
}

/// Somebody who was recognised by a session.
pub(crate) struct Recognised {
    pub(crate) actor: Actor,
    /// Whether it is to be noted that the session is used.
    pub(crate) to_be_noted: bool,
}

/// Begins a session. One the same browser had ends, and those that ran out are cleared away.
pub(crate) fn begin(
    conn: &mut Connection,
    person: PersonId,
    token: &Token,
    browser: &Browser,
) -> Result<DateTime<Utc>, StorageError> {
    let now = time::now();
    let expires_at = now + SESSION;
    if let Some(before) = &browser.session {
        end(conn, before)?;
    }
    diesel::delete(sessions::table.filter(sessions::expires_at.le(row::stored(now))))
        .execute(conn)?;
    diesel::insert_into(sessions::table)
        .values((
            sessions::id.eq(&token.id),
            sessions::hash.eq(token.hash()),
            sessions::person.eq(person.to_string()),
            sessions::expires_at.eq(row::stored(expires_at)),
            sessions::begun_at.eq(row::stored(now)),
            sessions::seen_at.eq(row::stored(now)),
            sessions::address.eq(&browser.origin.address),
            sessions::agent.eq(browser.agent.as_deref()),
        ))
        .execute(conn)?;
    Ok(expires_at)
}

/// Ends a session.
pub(crate) fn end(conn: &mut Connection, token: &Token) -> Result<(), StorageError> {
    diesel::delete(
        sessions::table
            .find(&token.id)
            .filter(sessions::hash.eq(token.hash())),
    )
    .execute(conn)?;
    Ok(())
}

/// Ends all sessions of a person.
pub(super) fn end_all(conn: &mut Connection, person: PersonId) -> Result<(), StorageError> {
    diesel::delete(sessions::table.filter(sessions::person.eq(person.to_string())))
        .execute(conn)?;
    Ok(())
}

/// Ends one session of a person, or all but the one that is used.
pub(crate) fn end_others(
    conn: &mut Connection,
    person: PersonId,
    current: &Token,
    only: Option<&str>,
) -> Result<(), StorageError> {
    let theirs = sessions::table.filter(sessions::person.eq(person.to_string()));
    match only {
        Some(id) => diesel::delete(theirs.filter(sessions::id.eq(id))).execute(conn)?,
        None => diesel::delete(theirs.filter(sessions::id.ne(&current.id))).execute(conn)?,
    };
    Ok(())
}

/// The sessions of a person that last, the latest first.
pub(crate) fn list(
    conn: &mut Connection,
    person: PersonId,
    current: &Token,
    idle: Option<Duration>,
) -> Result<Vec<OwnSession>, StorageError> {
    let now = time::now();
    let mut rows: Vec<Session> = sessions::table
        .filter(sessions::person.eq(person.to_string()))
        .filter(sessions::expires_at.gt(row::stored(now)))
        .order((sessions::expires_at.desc(), sessions::id))
        .select(Session::as_select())
        .load(conn)?;
    rows.retain(|session| !session.idle_at(now, idle));
    let shown = |session: Session| OwnSession {
        current: session.id == current.id,
        id: session.id,
        begun_at: session.begun_at.map(|at| at.and_utc()),
        seen_at: session.seen_at.map(|at| at.and_utc()),
        expires_at: session.expires_at.and_utc(),
        address: session.address,
        agent: session.agent,
    };
    Ok(rows.into_iter().map(shown).collect())
}

/// Who is signed in with this token, if the session still lasts: it has neither run out nor been
/// idle for too long.
pub(crate) fn recognise(
    conn: &mut Connection,
    token: &Token,
    now: DateTime<Utc>,
    idle: Option<Duration>,
) -> Result<Option<Recognised>, StorageError> {
    let found: Option<Session> = sessions::table
        .find(&token.id)
        .filter(sessions::hash.eq(token.hash()))
        .filter(sessions::expires_at.gt(row::stored(now)))
        .select(Session::as_select())
        .first(conn)
        .optional()?;
    let Some(session) = found.filter(|session| !session.idle_at(now, idle)) else {
        return Ok(None);
    };
    let since = |at: NaiveDateTime| now.naive_utc() - at >= SEEN;
    let to_be_noted = session.seen_at.is_none_or(since);
    let actor = people::actor(conn, &session.person, now)?;
    Ok(actor.map(|actor| Recognised { actor, to_be_noted }))
}

/// Notes that a session is used.
pub(crate) fn note(
    conn: &mut Connection,
    token: &Token,
    now: DateTime<Utc>,
) -> Result<(), StorageError> {
    diesel::update(sessions::table.find(&token.id))
        .set(sessions::seen_at.eq(row::stored(now)))
        .execute(conn)?;
    Ok(())
}

impl Session {
    /// Whether nobody has used it for too long. One from before that was noted is used now.
    fn idle_at(&self, now: DateTime<Utc>, idle: Option<Duration>) -> bool {
        let (Some(seen), Some(idle)) = (self.seen_at, idle) else {
            return false;
        };
        now.naive_utc() - seen >= idle
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::tests::fresh;
    use super::*;
    use crate::domain::access::{Origin, PersonView, Scope};

    fn ines() -> PersonView {
        PersonView {
            id: PersonId::new(),
            name: "Ines".to_owned(),
            scopes: vec![Scope::Floor],
            sites: None,
            created_at: time::now(),
            ends_at: None,
        }
    }

    fn browser(session: Option<Token>) -> Browser {
        Browser {
            origin: Origin {
                address: "192.0.2.7".to_owned(),
                network: "192.0.2.7".to_owned(),
                device: None,
            },
            agent: None,
            session,
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
                assert!(people::insert(conn, &person, "hash")?);
                assert!(!people::insert(conn, &person, "hash")?);
                for token in &tokens {
                    begin(conn, person.id, token, &browser(None))?;
                }
                Ok(())
            })
            .unwrap();
        let known = |token: &Token, at| {
            let found = store.read_now(|conn| recognise(conn, token, at, None));
            found.unwrap().map(|found| found.actor.name)
        };
        let now = time::now();
        assert_eq!(known(&tokens[0], now).as_deref(), Some("Ines"));
        assert_eq!(
            known(&tokens[0], now + SESSION + Duration::seconds(1)),
            None
        );
        store.write_now(|conn| end(conn, &tokens[0])).unwrap();
        assert_eq!(known(&tokens[0], now), None);
        assert!(known(&tokens[1], now).is_some());
        store
            .write_now(|conn| people::set_password(conn, person.id, "other"))
            .unwrap();
        assert_eq!(known(&tokens[1], now), None);
        store
            .write_now(|conn| people::delete(conn, person.id))
            .unwrap();
        assert!(store.read_now(people::list).unwrap().is_empty());
    }

    #[test]
    fn a_session_that_nobody_uses_ends_and_one_in_use_goes_on() {
        let (_dir, store) = fresh();
        let (person, token) = (ines(), Token::new(Token::SESSION).unwrap());
        let idle = Some(Duration::hours(2));
        let now = time::now();
        let known = |at| {
            let found = store.read_now(|conn| recognise(conn, &token, at, idle));
            found.unwrap().map(|found| found.to_be_noted)
        };
        store
            .write_now(|conn| -> Result<_, StorageError> {
                people::insert(conn, &person, "hash")?;
                begin(conn, person.id, &token, &browser(None))
            })
            .unwrap();
        assert_eq!(known(now), Some(false));
        let later = now + Duration::minutes(110);
        assert_eq!(known(later), Some(true));
        assert_eq!(known(now + Duration::minutes(121)), None);
        store.write_now(|conn| note(conn, &token, later)).unwrap();
        assert_eq!(known(now + Duration::minutes(121)), Some(true));
        assert_eq!(known(later), Some(false));
    }

    #[test]
    fn a_browser_has_one_session_and_a_person_ends_the_others() {
        let (_dir, store) = fresh();
        let person = ines();
        let token = || Token::new(Token::SESSION).unwrap();
        let (first, second, elsewhere) = (token(), token(), token());
        store
            .write_now(|conn| -> Result<_, StorageError> {
                people::insert(conn, &person, "hash")?;
                begin(conn, person.id, &first, &browser(None))?;
                begin(conn, person.id, &elsewhere, &browser(None))?;
                begin(conn, person.id, &second, &browser(Some(first.clone())))?;
                let listed = list(conn, person.id, &second, None)?;
                assert_eq!(listed.len(), 2);
                assert_eq!(listed.iter().filter(|one| one.current).count(), 1);
                end_others(conn, person.id, &second, Some(&elsewhere.id))?;
                begin(conn, person.id, &first, &browser(None))?;
                end_others(conn, person.id, &second, None)?;
                let listed = list(conn, person.id, &second, None)?;
                assert!(listed.len() == 1 && listed[0].current);
                Ok(())
            })
            .unwrap();
    }
}
