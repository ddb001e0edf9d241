//! Taking a person's name out of everything that is kept, and leaving the rest as it is.
//!
//! Records are never rewritten, and the database sees to that. Here alone its watch is lifted, for
//! the columns that hold a name and within the one transaction that takes the name out.

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::Text;

use super::schema::{audit, events, publications, readings, work_states};
use super::{Connection, StorageError, people};
use crate::domain::access::{ActorKind, PersonId, hash};

/// Records that hold names: the table, and the triggers that keep it from being rewritten, on
/// SQLite and on PostgreSQL.
const WATCHED: [(&str, &str, &str); 3] = [
    ("audit", "audit_is_not_rewritten", "audit_is_kept"),
    (
        "readings",
        "readings_are_not_rewritten",
        "readings_are_kept",
    ),
    ("events", "events_are_not_rewritten", "events_are_kept"),
];

/// What a person is called once their name is erased: always the same, and nothing can be told from
/// it but that it was the same person.
fn pseudonym(person: PersonId) -> String {
    let digest = hash(&[b"erased", person.to_string().as_bytes()]);
    format!("person {}", &digest[..8])
}

/// Takes a person away, and their name out of everything that is kept. Gives what stands in its
/// place; none if nobody ever had this id.
pub(crate) fn erase(
    conn: &mut Connection,
    person: PersonId,
) -> Result<Option<String>, StorageError> {
    let names = names(conn, person)?;
    if names.is_empty() {
        return Ok(None);
    }
    let instead = pseudonym(person);
    people::delete(conn, person)?;
    unwatched(conn, |conn| {
        let entries = audit::table
            .filter(audit::actor_kind.eq(ActorKind::Person.into_str()))
            .filter(audit::actor_id.eq(person.to_string()));
        diesel::update(entries)
            .set(audit::actor.eq(&instead))
            .execute(conn)?;
        names
            .iter()
            .filter(|name| **name != instead)
            .try_for_each(|name| replace(conn, name, &instead))
    })?;
    Ok(Some(instead))
}

/// What a person was called: now, and whenever they did something.
fn names(conn: &mut Connection, person: PersonId) -> Result<Vec<String>, StorageError> {
    let mut names: Vec<String> = audit::table
        .filter(audit::actor_kind.eq(ActorKind::Person.into_str()))
        .filter(audit::actor_id.eq(person.to_string()))
        .select(audit::actor)
        .distinct()
        .load(conn)?;
    names.extend(people::name(conn, person)?);
    names.sort_unstable();
    names.dedup();
    Ok(names)
}

/// Replaces a name where people said who they are.
fn replace(conn: &mut Connection, name: &str, instead: &str) -> Result<(), StorageError> {
    diesel::update(publications::table.filter(publications::published_by.eq(name)))
        .set(publications::published_by.eq(instead))
        .execute(conn)?;
    diesel::update(work_states::table.filter(work_states::told_by.eq(name)))
        .set(work_states::told_by.eq(instead))
        .execute(conn)?;
    diesel::update(readings::table.filter(readings::told_by.eq(name)))
        .set(readings::told_by.eq(instead))
        .execute(conn)?;
    let field = |name: &str| format!("\"by\":{}", serde_json::Value::from(name));
    let (said, says) = (field(name), field(instead));
    let found: Vec<(i64, String)> = events::table
        .filter(events::document.like(format!("%{said}%")))
        .select((events::seq, events::document))
        .load(conn)?;
    for (seq, document) in found {
        diesel::update(events::table.find(seq))
            .set(events::document.eq(document.replace(&said, &says)))
            .execute(conn)?;
    }
    Ok(())
}

/// How a trigger was made.
#[derive(QueryableByName)]
struct Trigger {
    #[diesel(sql_type = Text)]
    made_by: String,
}

/// Rewrites what is never rewritten. The watch is back before the transaction ends, and if it fails
/// was never lifted.
fn unwatched(
    conn: &mut Connection,
    work: impl FnOnce(&mut Connection) -> Result<(), StorageError>,
) -> Result<(), StorageError> {
    let mut again = String::new();
    for (table, on_sqlite, on_postgres) in WATCHED {
        match conn {
            Connection::Sqlite(conn) => {
                let found: Vec<Trigger> = diesel::sql_query(
                    "SELECT sql AS made_by FROM sqlite_master WHERE type = 'trigger' AND name = ?",
                )
                .bind::<Text, _>(on_sqlite)
                .load(conn)?;
                for trigger in found {
                    conn.batch_execute(&format!("DROP TRIGGER {on_sqlite}"))?;
                    again.push_str(&trigger.made_by);
                    again.push_str(";\n");
                }
            }
            Connection::Postgres(conn) => {
                let turn =
                    |what: &str| format!("ALTER TABLE {table} {what} TRIGGER {on_postgres};\n");
                conn.batch_execute(&turn("DISABLE"))?;
                again.push_str(&turn("ENABLE"));
            }
        }
    }
    work(conn)?;
    Ok(conn.batch_execute(&again)?)
}

#[cfg(test)]
mod tests {
    use super::super::pool::tests::fresh;
    use super::*;
    use crate::domain::access::{PersonView, Scope};
    use crate::domain::audit::{AuditActor, Noted};
    use crate::domain::time;

    #[test]
    fn a_name_is_gone_and_the_records_are_watched_as_before() {
        let (_dir, store) = fresh();
        let ines = PersonView {
            id: PersonId::new(),
            name: "Ines".to_owned(),
            scopes: vec![Scope::Floor],
            sites: None,
            created_at: time::now(),
            ends_at: None,
        };
        let done = store.write_now(|conn| -> Result<_, StorageError> {
            people::insert(conn, &ines, "hash")?;
            super::super::audit::note(conn, &Noted::new(AuditActor::from(&ines), "sign_in", None))?;
            let first = erase(conn, ines.id)?;
            assert_eq!(erase(conn, ines.id)?, first, "once more changes nothing");
            assert_eq!(erase(conn, PersonId::new())?, None);
            let left: Vec<String> = audit::table.select(audit::actor).load(conn)?;
            assert_eq!(left, [first.clone().unwrap()]);
            Ok(first)
        });
        assert!(done.unwrap().unwrap().starts_with("person "));
        let rewritten: Result<usize, StorageError> = store.write_now(|conn| {
            Ok(diesel::update(audit::table)
                .set(audit::actor.eq("somebody else"))
                .execute(conn)?)
        });
        assert!(rewritten.is_err());
    }
}
