//! Copies of an SQLite database, taken and put back while the service runs.

mod access;
mod numbers;
mod rows;

use std::fs::{self, File, OpenOptions};
use std::io;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};

use diesel::SqliteConnection;
use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::Text;

use super::open::bring_up_to_date;
use super::{Connection, StorageError, file, identity};

pub(crate) use access::Ended;

#[derive(QueryableByName)]
struct One {
    #[diesel(sql_type = Text)]
    text: String,
}

/// What is to become of keys and people of a copy that the database it replaces does not know.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unknown {
    /// They were taken away since, so they end.
    End,
    /// The database they belong to is lost, so they stay.
    Keep,
}

/// Copies the database to a new file, as it is at one moment. Writers wait for nothing. There is a
/// file only once it is whole, sound and on the disk.
pub(crate) fn backup(from: &Path, to: &Path) -> Result<(), StorageError> {
    identity::check(from).map_err(|error| about(from, error))?;
    let half = Scratch::new(to)?;
    let mut conn = open(from)?;
    conn.batch_execute(&format!("VACUUM INTO {}", quoted(&half.0)?))?;
    drop(conn);
    let mut copy = open(&half.0)?;
    identity::sound(&mut copy).map_err(|error| about(to, error))?;
    drop(copy);
    let failed = |error: io::Error| StorageError::Open(format!("{}: {error}", to.display()));
    on_disk(&half.0).map_err(failed)?;
    put_in_place(&half.0, to).map_err(failed)?;
    // Not every file system can be told to keep a folder.
    let _ = on_disk(&folder(to));
    Ok(())
}

/// Gives a file its name. Unlike a renaming, a link never takes the place of a file that has come
/// there meanwhile; where there are no links, the name is looked at first.
fn put_in_place(half: &Path, to: &Path) -> io::Result<()> {
    match fs::hard_link(half, to) {
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists && !to.exists() => {
            fs::rename(half, to)
        }
        done => done,
    }
}

/// Puts a copy back, all or nothing: in one transaction, every table gets the rows of the copy.
///
/// The service sees it like any other change. A copy from an older version is brought up to date
/// first, in a file of its own. What may not come to life again does not: see [`access`] and
/// [`numbers`].
pub(crate) fn restore(from: &Path, to: &Path, unknown: Unknown) -> Result<Ended, StorageError> {
    let fresh = !to.exists();
    let done = put_back(from, to, unknown);
    if fresh && done.is_err() {
        remove(to);
    }
    done
}

fn put_back(from: &Path, to: &Path, unknown: Unknown) -> Result<Ended, StorageError> {
    identity::check(to).map_err(|error| about(to, error))?;
    let scratch = Scratch::new(to)?;
    let copied = File::open(from).and_then(|mut source| {
        let mut target = OpenOptions::new().write(true).open(&scratch.0)?;
        io::copy(&mut source, &mut target)
    });
    copied.map_err(|error| StorageError::Open(format!("{}: {error}", from.display())))?;
    prepare(&scratch.0).map_err(|error| about(from, error))?;
    let missing = |error: io::Error| StorageError::Open(format!("{}: {error}", to.display()));
    file::keep_private(to).map_err(missing)?;
    let mut conn = Connection::Sqlite(open(to)?);
    bring_up_to_date(&mut conn).map_err(|error| about(to, error))?;
    let Connection::Sqlite(mut conn) = conn else {
        return Err(StorageError::Open("this is no file".to_owned()));
    };
    conn.batch_execute(&format!(
        "PRAGMA busy_timeout = 30000; PRAGMA foreign_keys = OFF; ATTACH DATABASE {} AS copy",
        quoted(&scratch.0)?
    ))?;
    let done = conn.immediate_transaction(|conn| {
        access::remember(conn)?;
        let numbers = numbers::Numbers::of(conn)?;
        rows::replace(conn)?;
        numbers.go_on(conn)?;
        let ended = access::end(conn, unknown)?;
        rows::check_references(conn)?;
        Ok(ended)
    });
    conn.batch_execute("DETACH DATABASE copy")?;
    done
}

/// Refuses a copy that is damaged or none of ours, and brings it up to date.
fn prepare(scratch: &Path) -> Result<(), StorageError> {
    identity::check(scratch)?;
    let mut copy = open(scratch)?;
    identity::sound(&mut copy)?;
    if !rows::names(&mut copy, "main", "table")?.contains(&"setup_revisions".to_owned()) {
        let what = "there is nothing of Fizzwright's in it";
        return Err(StorageError::Open(what.to_owned()));
    }
    bring_up_to_date(&mut Connection::Sqlite(copy)).map(|_| ())
}

/// A file beside another one, gone when it is no longer needed, with what SQLite puts beside it.
struct Scratch(PathBuf);

impl Scratch {
    fn new(beside: &Path) -> Result<Self, StorageError> {
        let path = file::beside(beside, ".unfinished");
        // What a program that was killed has left.
        remove(&path);
        let made = OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(0o600)
            .open(&path);
        made.map_err(|error| StorageError::Open(format!("{}: {error}", path.display())))?;
        Ok(Self(path))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        remove(&self.0);
    }
}

fn remove(path: &Path) {
    for ending in ["", "-wal", "-shm", "-journal"] {
        // The last three are there only if SQLite had need of them.
        let _ = fs::remove_file(file::beside(path, ending));
    }
}

fn folder(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

fn on_disk(path: &Path) -> io::Result<()> {
    File::open(path)?.sync_all()
}

fn open(path: &Path) -> Result<SqliteConnection, StorageError> {
    file::open(path, false)
        .map_err(|error| StorageError::Open(format!("{}: {error}", path.display())))
}

fn about(path: &Path, error: StorageError) -> StorageError {
    match error {
        StorageError::Open(what) => StorageError::Open(format!("{}: {what}", path.display())),
        other => other,
    }
}

fn quoted(path: &Path) -> Result<String, StorageError> {
    let text = path
        .to_str()
        .ok_or_else(|| StorageError::Open(format!("{}: not UTF-8", path.display())))?;
    Ok(format!("'{}'", text.replace('\'', "''")))
}

#[cfg(test)]
mod tests;
