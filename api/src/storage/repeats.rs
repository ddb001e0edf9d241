//! Requests with a name of their own, and what was answered.
//!
//! A request belongs to the process that works on it. What a process that is gone left is settled
//! when it is asked for again: if its change was made, the answer is lost; if not, it never will be,
//! and it is done anew. A process that only seemed to be gone cannot make the change any more, as
//! its name for the request is no longer its own.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::prelude::*;

use super::row::{self, Row};
use super::schema::repeats;
use super::{Connection, StorageError, process, server};
use crate::domain::repeats::{Answer, KEPT, PATIENCE, PriorRequest, RepeatKey};

const UNDERWAY: &str = "underway";
const CHANGED: &str = "changed";
const ANSWERED: &str = "answered";
const SHOWN: &str = "shown";

#[derive(Queryable, Selectable)]
#[diesel(table_name = repeats)]
struct Repeat {
    fingerprint: String,
    state: String,
    status: Option<i32>,
    headers: Option<String>,
    body: Option<Vec<u8>>,
    begun_at: NaiveDateTime,
    owner: Option<String>,
}

/// What is known of a request; if nothing, it is noted. What is too old to matter is cleared away.
pub(crate) fn begin(
    conn: &mut Connection,
    key: &RepeatKey,
    fingerprint: &str,
    now: DateTime<Utc>,
) -> Result<PriorRequest, StorageError> {
    let old = repeats::begun_at.le(row::stored(now - KEPT));
    // One that never changed anything and never ended can be tried again.
    let lost = repeats::state
        .eq(UNDERWAY)
        .and(repeats::begun_at.le(row::stored(now - PATIENCE)));
    diesel::delete(repeats::table.filter(old.or(lost))).execute(conn)?;
    let found: Option<Repeat> = repeats::table
        .find((&key.actor, &key.key))
        .select(Repeat::as_select())
        .first(conn)
        .optional()?;
    if let Some(found) = found {
        let gone = found.owner_is_gone(conn)?;
        if !(gone && found.state == UNDERWAY && found.fingerprint == fingerprint) {
            return found.known(key, fingerprint, now, gone);
        }
        diesel::delete(repeats::table.find((&key.actor, &key.key))).execute(conn)?;
    }
    diesel::insert_into(repeats::table)
        .values((
            repeats::actor.eq(&key.actor),
            repeats::key.eq(&key.key),
            repeats::fingerprint.eq(fingerprint),
            repeats::state.eq(UNDERWAY),
            repeats::begun_at.eq(row::stored(now)),
            repeats::owner.eq(process::name()),
        ))
        .execute(conn)?;
    Ok(PriorRequest::New)
}

/// Notes, together with the change itself, that there was one. Refuses, and so undoes it, if the
/// request has been taken over by somebody else.
pub(super) fn changed(conn: &mut Connection, key: &RepeatKey) -> Result<(), StorageError> {
    let noted = diesel::update(repeats::table.find((&key.actor, &key.key)))
        .filter(repeats::owner.eq(process::name()))
        .filter(repeats::state.ne(ANSWERED))
        .set(repeats::state.eq(CHANGED))
        .execute(conn)?;
    if noted == 0 {
        return Err(StorageError::Superseded);
    }
    Ok(())
}

/// Keeps the answer.
pub(crate) fn answered(
    conn: &mut Connection,
    key: &RepeatKey,
    answer: &Answer,
) -> Result<(), StorageError> {
    diesel::update(repeats::table.find((&key.actor, &key.key)))
        .filter(repeats::owner.eq(process::name()))
        .set((
            repeats::state.eq(ANSWERED),
            repeats::status.eq(i32::from(answer.status)),
            repeats::headers.eq(row::text("headers", &answer.headers)?),
            repeats::body.eq(&answer.body),
        ))
        .execute(conn)?;
    Ok(())
}

/// Notes that a request was answered with a secret, which is not kept.
pub(crate) fn shown(conn: &mut Connection, key: &RepeatKey) -> Result<(), StorageError> {
    diesel::update(repeats::table.find((&key.actor, &key.key)))
        .set(repeats::state.eq(SHOWN))
        .execute(conn)?;
    Ok(())
}

/// Forgets a request that changed nothing, so that it can be tried again.
pub(crate) fn forget(conn: &mut Connection, key: &RepeatKey) -> Result<(), StorageError> {
    diesel::delete(
        repeats::table
            .find((&key.actor, &key.key))
            .filter(repeats::owner.eq(process::name()))
            .filter(repeats::state.eq(UNDERWAY)),
    )
    .execute(conn)?;
    Ok(())
}

impl Repeat {
    /// Whether the process that works on it is gone. A file of SQLite's is served by one process; on
    /// PostgreSQL a process has connections under its name as long as it lives.
    fn owner_is_gone(&self, conn: &mut Connection) -> Result<bool, StorageError> {
        match (self.owner.as_deref(), conn) {
            (Some(owner), _) if owner == process::name() => Ok(false),
            (Some(owner), Connection::Postgres(conn)) => Ok(!server::is_there(conn, owner)?),
            _ => Ok(true),
        }
    }

    fn known(
        self,
        key: &RepeatKey,
        fingerprint: &str,
        now: DateTime<Utc>,
        gone: bool,
    ) -> Result<PriorRequest, StorageError> {
        if self.fingerprint != fingerprint {
            return Ok(PriorRequest::Other);
        }
        let row = Row {
            table: "repeats",
            key: &key.key,
        };
        let waiting = !gone && now.naive_utc() - self.begun_at < PATIENCE;
        match (self.state.as_str(), self.status, self.headers, self.body) {
            (UNDERWAY, ..) => Ok(PriorRequest::Underway),
            (SHOWN, ..) => Ok(PriorRequest::Shown),
            (CHANGED, ..) if waiting => Ok(PriorRequest::Underway),
            (CHANGED, ..) => Ok(PriorRequest::AnswerLost),
            (ANSWERED, Some(status), Some(headers), Some(body)) => {
                Ok(PriorRequest::Answered(Answer {
                    status: row.value(status)?,
                    headers: row.document(&headers)?,
                    body,
                }))
            }
            (other, ..) => Err(row.bad(format!("unknown state {other}"))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::pool::tests::fresh;
    use super::*;
    use crate::domain::time;

    fn key() -> RepeatKey {
        RepeatKey {
            actor: "till".to_owned(),
            key: "order 7".to_owned(),
        }
    }

    #[test]
    fn a_repeat_is_answered_as_the_first_was() {
        let (_dir, store) = fresh();
        let now = time::now();
        let known = |print: &str, at| {
            store
                .write_now(|conn| begin(conn, &key(), print, at))
                .unwrap()
        };
        assert_eq!(known("a", now), PriorRequest::New);
        assert_eq!(known("a", now), PriorRequest::Underway);
        assert_eq!(known("b", now), PriorRequest::Other);
        let answer = Answer {
            status: 201,
            headers: vec![("location".to_owned(), "/v1/x".to_owned())],
            body: b"{}".to_vec(),
        };
        store
            .write_now(|conn| answered(conn, &key(), &answer))
            .unwrap();
        assert_eq!(known("a", now), PriorRequest::Answered(answer));
        store.write_now(|conn| forget(conn, &key())).unwrap();
        assert!(matches!(known("a", now), PriorRequest::Answered(_)));
        assert_eq!(known("b", now + KEPT), PriorRequest::New);
    }

    #[test]
    fn an_answer_with_a_secret_is_not_kept() {
        let (_dir, store) = fresh();
        let now = time::now();
        let known = |print: &str| {
            store
                .write_now(|conn| begin(conn, &key(), print, now))
                .unwrap()
        };
        assert_eq!(known("a"), PriorRequest::New);
        store.write_now(|conn| shown(conn, &key())).unwrap();
        assert_eq!(known("a"), PriorRequest::Shown);
        assert_eq!(known("b"), PriorRequest::Other);
    }

    #[test]
    fn one_that_was_lost_is_tried_again_unless_it_changed_something() {
        let (_dir, store) = fresh();
        let now = time::now();
        let later = now + PATIENCE;
        let known = |at| {
            store
                .write_now(|conn| begin(conn, &key(), "a", at))
                .unwrap()
        };
        assert_eq!(known(now), PriorRequest::New);
        assert_eq!(known(later), PriorRequest::New);
        store.write_now(|conn| changed(conn, &key())).unwrap();
        assert_eq!(known(later), PriorRequest::Underway);
        assert_eq!(known(later + PATIENCE), PriorRequest::AnswerLost);
        store.write_now(|conn| forget(conn, &key())).unwrap();
        assert_eq!(known(later + PATIENCE), PriorRequest::AnswerLost);
    }

    #[test]
    fn what_a_process_that_is_gone_left_is_settled_at_once() {
        let (_dir, store) = fresh();
        let now = time::now();
        let known = || {
            store
                .write_now(|conn| begin(conn, &key(), "a", now))
                .unwrap()
        };
        let leave = || {
            store
                .write_now(|conn| -> Result<_, StorageError> {
                    let left = diesel::update(repeats::table).set(repeats::owner.eq("gone"));
                    Ok(left.execute(conn)?)
                })
                .unwrap()
        };
        assert_eq!(known(), PriorRequest::New);
        leave();
        // It is no longer its own to change, so it can be done anew.
        let late = store.write_now(|conn| changed(conn, &key()));
        assert!(matches!(late, Err(StorageError::Superseded)));
        assert_eq!(known(), PriorRequest::New);
        store.write_now(|conn| changed(conn, &key())).unwrap();
        assert_eq!(known(), PriorRequest::Underway);
        leave();
        assert_eq!(known(), PriorRequest::AnswerLost);
    }
}
