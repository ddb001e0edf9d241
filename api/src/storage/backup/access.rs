//! Who may get in after a copy was put back: nobody who could not just before.
//!
//! A key that was revoked since the copy stays revoked, somebody who was taken away stays away, and
//! who is known to both keeps the password and the scopes of today. All sessions end. What the
//! replaced database does not know at all was either taken away or belongs to another database; it
//! ends, unless the caller says that the database it belongs to is lost, or the replaced one never
//! had a key.

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::BigInt;

use super::Unknown;
use crate::storage::StorageError;

/// What came to its end while a copy was put back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Ended {
    /// Keys that worked when the copy was taken.
    pub(crate) keys: i64,
    /// People.
    pub(crate) people: i64,
    /// Calendar feeds.
    pub(crate) calendars: i64,
    /// Webhooks, which are disabled.
    pub(crate) webhooks: i64,
    /// Keys that work.
    pub(crate) keys_left: i64,
}

#[derive(QueryableByName)]
struct Count {
    #[diesel(sql_type = BigInt)]
    count: i64,
}

/// Notes who may get in now.
pub(super) fn remember(conn: &mut SqliteConnection) -> Result<(), StorageError> {
    Ok(conn.batch_execute(
        "CREATE TEMP TABLE keys_then AS SELECT id, revoked_at FROM main.api_keys;
         CREATE TEMP TABLE people_then AS SELECT * FROM main.people;
         CREATE TEMP TABLE calendars_then AS SELECT id FROM main.calendars;
         CREATE TEMP TABLE webhooks_then AS SELECT id FROM main.webhooks;",
    )?)
}

/// Ends what may not come to life again.
pub(super) fn end(conn: &mut SqliteConnection, unknown: Unknown) -> Result<Ended, StorageError> {
    let live = "SELECT count(*) AS count FROM main.api_keys WHERE revoked_at IS NULL";
    let before = count(conn, live)?;
    conn.batch_execute(
        "DELETE FROM main.sessions;
         UPDATE main.api_keys SET revoked_at =
             (SELECT k.revoked_at FROM temp.keys_then k WHERE k.id = api_keys.id)
         WHERE revoked_at IS NULL AND id IN
             (SELECT id FROM temp.keys_then WHERE revoked_at IS NOT NULL);
         INSERT OR REPLACE INTO main.people
             SELECT * FROM temp.people_then WHERE id IN (SELECT id FROM main.people);",
    )?;
    let mut ended = Ended::default();
    let anybody = count(conn, "SELECT count(*) AS count FROM temp.keys_then")? > 0;
    if unknown == Unknown::End && anybody {
        conn.batch_execute(
            "UPDATE main.api_keys SET revoked_at = strftime('%Y-%m-%d %H:%M:%f', 'now')
             WHERE revoked_at IS NULL AND id NOT IN (SELECT id FROM temp.keys_then);",
        )?;
        let gone = |table: &str| {
            format!("DELETE FROM main.{table} WHERE id NOT IN (SELECT id FROM temp.{table}_then)")
        };
        ended.people = changed(conn, &gone("people"))?;
        changed(
            conn,
            "DELETE FROM main.sign_in_places WHERE person NOT IN (SELECT id FROM main.people)",
        )?;
        ended.calendars = changed(conn, &gone("calendars"))?;
        ended.webhooks = changed(
            conn,
            "UPDATE main.webhooks SET disabled_at = strftime('%Y-%m-%d %H:%M:%f', 'now'), \
             disabled_why = 'it was not there any more when a copy of the database was put back' \
             WHERE disabled_at IS NULL AND id NOT IN (SELECT id FROM temp.webhooks_then)",
        )?;
    }
    ended.keys_left = count(conn, live)?;
    ended.keys = before - ended.keys_left;
    conn.batch_execute(
        "DROP TABLE temp.keys_then; DROP TABLE temp.people_then;
         DROP TABLE temp.calendars_then; DROP TABLE temp.webhooks_then;",
    )?;
    Ok(ended)
}

fn count(conn: &mut SqliteConnection, sql: &str) -> Result<i64, StorageError> {
    let row: Count = diesel::sql_query(sql).get_result(conn)?;
    Ok(row.count)
}

fn changed(conn: &mut SqliteConnection, sql: &str) -> Result<i64, StorageError> {
    let rows = diesel::sql_query(sql).execute(conn)?;
    Ok(i64::try_from(rows).unwrap_or(i64::MAX))
}
