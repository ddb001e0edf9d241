//! Every table gets the rows of a copy that is attached as `copy`.

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::Text;

use super::One;
use crate::storage::StorageError;

/// Triggers keep records from being rewritten; they are put back as they were.
pub(super) fn replace(conn: &mut SqliteConnection) -> Result<(), StorageError> {
    let triggers = definitions(conn, "trigger")?;
    for trigger in names(conn, "main", "trigger")? {
        conn.batch_execute(&format!("DROP TRIGGER \"{trigger}\""))?;
    }
    for table in names(conn, "main", "table")? {
        conn.batch_execute(&format!(
            "DELETE FROM main.\"{table}\"; INSERT INTO main.\"{table}\" SELECT * FROM copy.\"{table}\""
        ))?;
    }
    for trigger in triggers {
        conn.batch_execute(&trigger)?;
    }
    Ok(())
}

/// Refuses what refers to what is not there: nobody looked while tables were half filled.
pub(super) fn check_references(conn: &mut SqliteConnection) -> Result<(), StorageError> {
    let broken: Vec<One> =
        diesel::sql_query("SELECT \"table\" AS text FROM pragma_foreign_key_check").load(conn)?;
    match broken.first() {
        None => Ok(()),
        Some(row) => Err(StorageError::Open(format!(
            "the copy is damaged: {} refers to what is not there",
            row.text
        ))),
    }
}

pub(super) fn names(
    conn: &mut SqliteConnection,
    schema: &str,
    kind: &str,
) -> Result<Vec<String>, StorageError> {
    let rows: Vec<One> = diesel::sql_query(format!(
        "SELECT name AS text FROM {schema}.sqlite_master WHERE type = ? AND name NOT LIKE 'sqlite_%'"
    ))
    .bind::<Text, _>(kind)
    .load(conn)?;
    Ok(rows.into_iter().map(|row| row.text).collect())
}

fn definitions(conn: &mut SqliteConnection, kind: &str) -> Result<Vec<String>, StorageError> {
    let rows: Vec<One> =
        diesel::sql_query("SELECT sql AS text FROM main.sqlite_master WHERE type = ?")
            .bind::<Text, _>(kind)
            .load(conn)?;
    Ok(rows.into_iter().map(|row| row.text).collect())
}
