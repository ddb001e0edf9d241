//! Copies of an SQLite database, taken and put back while the service runs.

use std::path::Path;

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::Text;

use super::open::{Opener, bring_up_to_date};
use super::{Connection, Place, StorageError};

/// Copies the database to a new file, as it is at one moment. Writers wait for nothing.
pub(crate) fn backup(from: &Path, to: &Path) -> Result<(), StorageError> {
    let mut conn = open(from)?;
    let conn = sqlite(&mut conn)?;
    let file = quoted(to)?;
    conn.batch_execute(&format!("VACUUM INTO {file}"))?;
    let mut copy = open(to)?;
    sound(sqlite(&mut copy)?, to)
}

/// Puts a copy back, all or nothing: in one transaction, every table gets the rows of the copy.
///
/// The service sees it like any other change. A copy from an older version is brought up to date
/// first, in a file of its own.
pub(crate) fn restore(from: &Path, to: &Path) -> Result<(), StorageError> {
    let scratch = to.with_extension("restoring");
    let copied = std::fs::copy(from, &scratch);
    copied.map_err(|error| StorageError::Open(format!("{}: {error}", from.display())))?;
    let done = put_back(from, &scratch, to);
    for ending in ["", "-wal", "-shm"] {
        let mut name = scratch.clone().into_os_string();
        name.push(ending);
        // The last two are there only if SQLite had need of them.
        let _ = std::fs::remove_file(name);
    }
    done
}

fn put_back(named: &Path, scratch: &Path, to: &Path) -> Result<(), StorageError> {
    let mut copy = open(scratch)?;
    sound(sqlite(&mut copy)?, named)?;
    if !names(sqlite(&mut copy)?, "main", "table")?.contains(&"setup_revisions".to_owned()) {
        let what = "this is a database, but not one of Fizzwright's";
        return Err(StorageError::Open(format!("{}: {what}", named.display())));
    }
    bring_up_to_date(&mut copy)?;
    drop(copy);
    let mut conn = open(to)?;
    bring_up_to_date(&mut conn)?;
    let conn = sqlite(&mut conn)?;
    conn.batch_execute(&format!(
        "PRAGMA busy_timeout = 30000; PRAGMA foreign_keys = OFF; ATTACH DATABASE {} AS copy",
        quoted(scratch)?
    ))?;
    let done = conn.immediate_transaction(replace_rows);
    conn.batch_execute("DETACH DATABASE copy")?;
    done
}

/// Triggers keep records from being rewritten; they are put back as they were.
fn replace_rows(conn: &mut SqliteConnection) -> Result<(), StorageError> {
    let triggers = definitions(conn, "trigger")?;
    for trigger in names(conn, "main", "trigger")? {
        conn.batch_execute(&format!("DROP TRIGGER \"{trigger}\""))?;
    }
    for table in names(conn, "main", "table")? {
        conn.batch_execute(&format!(
            "DELETE FROM main.\"{table}\"; INSERT INTO main.\"{table}\" SELECT * FROM copy.\"{table}\""
        ))?;
    }
    // Places in a ledger are never given twice.
    conn.batch_execute(
        "DELETE FROM main.sqlite_sequence; \
         INSERT INTO main.sqlite_sequence SELECT * FROM copy.sqlite_sequence",
    )?;
    for trigger in triggers {
        conn.batch_execute(&trigger)?;
    }
    // References were not looked at while tables were half filled.
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

#[derive(QueryableByName)]
struct One {
    #[diesel(sql_type = Text)]
    text: String,
}

fn names(
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

/// Refuses a file that is damaged.
fn sound(conn: &mut SqliteConnection, shown: &Path) -> Result<(), StorageError> {
    let found: Vec<One> =
        diesel::sql_query("SELECT integrity_check AS text FROM pragma_integrity_check")
            .load(conn)?;
    match found.first() {
        Some(row) if row.text == "ok" => Ok(()),
        Some(row) => Err(StorageError::Open(format!(
            "{}: it is damaged: {}",
            shown.display(),
            row.text
        ))),
        None => Err(StorageError::Open(format!(
            "{}: it is damaged",
            shown.display()
        ))),
    }
}

fn open(path: &Path) -> Result<Connection, StorageError> {
    let opener = Opener {
        place: Place::File(path.to_owned()),
        reader: false,
    };
    diesel::r2d2::ManageConnection::connect(&opener)
        .map_err(|error| StorageError::Open(format!("{}: {error}", path.display())))
}

fn sqlite(conn: &mut Connection) -> Result<&mut SqliteConnection, StorageError> {
    match conn {
        Connection::Sqlite(conn) => Ok(conn),
        Connection::Postgres(_) => Err(StorageError::Open("this is no file".to_owned())),
    }
}

fn quoted(path: &Path) -> Result<String, StorageError> {
    let text = path
        .to_str()
        .ok_or_else(|| StorageError::Open(format!("{}: not UTF-8", path.display())))?;
    Ok(format!("'{}'", text.replace('\'', "''")))
}

#[cfg(test)]
mod tests {
    use super::super::pool::tests::fresh;
    use super::super::{demand, keys, sites};
    use super::*;
    use crate::domain::access::NewKey;
    use crate::domain::time;

    #[test]
    fn a_copy_is_put_back_under_a_running_service() {
        let (dir, store) = fresh();
        let database = dir.path().join("test.sqlite");
        let copy = dir.path().join("it's a copy");
        let site = scheduler::sample::fixed().site;
        store
            .write_now(|conn| -> Result<_, StorageError> {
                sites::insert(conn, &site)?;
                demand::upsert(conn, &site.id, &scheduler::sample::fixed().demand[0])
            })
            .unwrap();
        backup(&database, &copy).unwrap();
        let key = NewKey::first(time::now()).unwrap();
        store.write_now(|conn| keys::insert(conn, &key)).unwrap();
        restore(&copy, &database).unwrap();
        // The store was open all the time.
        assert!(!store.read_now(keys::any).unwrap());
        assert_eq!(store.read_now(sites::list).unwrap(), [site]);
        store.write_now(|conn| keys::insert(conn, &key)).unwrap();
        let left: Vec<_> = std::fs::read_dir(dir.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name())
            .filter(|name| name.to_string_lossy().contains("restoring"))
            .collect();
        assert!(left.is_empty(), "{left:?}");
    }

    #[test]
    fn what_is_no_copy_is_refused_and_changes_nothing() {
        let (dir, store) = fresh();
        let database = dir.path().join("test.sqlite");
        let site = scheduler::sample::fixed().site;
        store.write_now(|conn| sites::insert(conn, &site)).unwrap();
        let text = dir.path().join("notes");
        std::fs::write(&text, "not a database at all, only a text").unwrap();
        assert!(restore(&text, &database).is_err());
        let other = dir.path().join("other.sqlite");
        let mut conn = open(&other).unwrap();
        conn.batch_execute("CREATE TABLE notes (text TEXT)")
            .unwrap();
        drop(conn);
        let refused = restore(&other, &database).unwrap_err().to_string();
        assert!(refused.contains("not one of Fizzwright's"), "{refused}");
        assert!(restore(&dir.path().join("nothing"), &database).is_err());
        assert_eq!(store.read_now(sites::list).unwrap(), [site]);
    }
}
