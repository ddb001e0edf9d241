//! Whether a file of SQLite's is a database of ours, and sound. Asked before anything in it is
//! changed.

use std::fs;
use std::path::Path;

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};

use super::{StorageError, file};
use crate::problem::Chain;

/// Stands in the head of the file and says whose it is: "Fizz".
const APPLICATION_ID: i64 = 0x4669_7a7a;

/// Tables that databases have from before they were signed.
const OLDEST: [&str; 2] = ["setup_revisions", "stock_entries"];

#[derive(QueryableByName)]
struct Number {
    #[diesel(sql_type = BigInt)]
    number: i64,
}

#[derive(QueryableByName)]
struct Name {
    #[diesel(sql_type = Text)]
    name: String,
}

/// Refuses a file that holds something else, or is damaged. One that is not there, or empty, is
/// fine.
pub(super) fn check(path: &Path) -> Result<(), StorageError> {
    if fs::metadata(path).map_or(true, |found| found.len() == 0) {
        return Ok(());
    }
    let mut conn = file::look_into(path).map_err(|error| StorageError::Open(error.to_string()))?;
    ours(&mut conn).map_err(|error| match error {
        StorageError::Open(_) => error,
        // Its list of tables may be what is damaged.
        other if other.is_corruption() => damaged(&Chain(&other).to_string()),
        other => StorageError::Open(Chain(&other).to_string()),
    })?;
    sound(&mut conn)
}

fn damaged(what: &str) -> StorageError {
    StorageError::Open(format!(
        "it is damaged ({what}); move it aside with what stands beside it, so that nothing is \
         written to it, and put the latest copy back by `fizzwright restore COPY`"
    ))
}

/// Refuses a database of another program.
pub(super) fn ours(conn: &mut SqliteConnection) -> Result<(), StorageError> {
    conn.batch_execute("PRAGMA busy_timeout = 5000")?;
    let id: Number =
        diesel::sql_query("SELECT application_id AS number FROM pragma_application_id")
            .get_result(conn)?;
    let tables: Vec<Name> = diesel::sql_query(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' \
         AND name <> '__diesel_schema_migrations' ORDER BY name",
    )
    .load(conn)?;
    let has = |wanted: &str| tables.iter().any(|table| table.name == wanted);
    let known = match id.number {
        APPLICATION_ID => true,
        0 => tables.is_empty() || OLDEST.iter().all(|table| has(table)),
        _ => false,
    };
    if known {
        return Ok(());
    }
    let names: Vec<&str> = tables
        .iter()
        .take(5)
        .map(|table| table.name.as_str())
        .collect();
    Err(StorageError::Open(format!(
        "this is a database, but not one of Fizzwright's: its application_id is {:#x}, its tables \
         are {}; name another file, or one that is not there yet",
        id.number,
        names.join(", ")
    )))
}

/// Says in the head of the file whose it is.
pub(super) fn sign(conn: &mut SqliteConnection) -> Result<(), StorageError> {
    let id: Number =
        diesel::sql_query("SELECT application_id AS number FROM pragma_application_id")
            .get_result(conn)?;
    if id.number != APPLICATION_ID {
        conn.batch_execute(&format!("PRAGMA application_id = {APPLICATION_ID}"))?;
    }
    Ok(())
}

/// Refuses a database that is damaged. The whole file is read, but no index is compared with its
/// table.
pub(super) fn sound(conn: &mut SqliteConnection) -> Result<(), StorageError> {
    let found: QueryResult<Vec<Name>> =
        diesel::sql_query("SELECT quick_check AS name FROM pragma_quick_check").load(conn);
    let what = match found {
        Ok(rows) if rows.len() == 1 && rows[0].name == "ok" => return Ok(()),
        Ok(rows) => {
            let lines: Vec<&str> = rows.iter().take(5).map(|row| row.name.trim()).collect();
            lines.join("; ")
        }
        Err(error) => Chain(&StorageError::from(error)).to_string(),
    };
    Err(damaged(&what))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_programs_files_are_refused_and_left_as_they_were() {
        let dir = tempfile::tempdir().unwrap();
        let check_sql = |name: &str, sql: &str, part: &str| {
            let path = dir.path().join(name);
            fs::write(&path, "").unwrap();
            let mut conn = file::look_into(&path).unwrap();
            conn.batch_execute(sql).unwrap();
            drop(conn);
            let before = fs::read(&path).unwrap();
            let refused = check(&path).unwrap_err().to_string();
            assert!(refused.contains(part), "{refused}");
            assert_eq!(fs::read(&path).unwrap(), before, "{name}");
        };
        check_sql("notes", "CREATE TABLE notes (text TEXT)", "notes");
        check_sql(
            "map",
            "CREATE TABLE sites (id TEXT); PRAGMA application_id = 1196444487",
            "0x47504b47",
        );
        check(&dir.path().join("nothing")).unwrap();
    }
}
