//! A database in a file of SQLite's: how it is opened, who may read it, and whether it is there
//! still.

use std::fs::{self, OpenOptions, Permissions};
use std::io;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::{MetadataExt, OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};

use diesel::SqliteConnection;
use diesel::connection::SimpleConnection;

use super::{StorageError, planner, result_codes};

/// Who may read and write: the user the service runs as, nobody else.
const MODE: u32 = 0o600;

/// Opens a file that must be there. Nothing acknowledged is lost when the power goes (`FULL`),
/// readers do not wait for the writer (`WAL`), and references hold.
pub(super) fn open(path: &Path, reader: bool) -> Result<SqliteConnection, diesel::r2d2::Error> {
    let mut conn = look_into(path)?;
    set_up(&mut conn, reader)?;
    Ok(conn)
}

/// Opens a file that must be there, and changes nothing about it.
pub(super) fn look_into(path: &Path) -> Result<SqliteConnection, diesel::r2d2::Error> {
    let mut name = String::from("file:");
    for byte in path.as_os_str().as_bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' => {
                name.push(char::from(*byte));
            }
            other => name.push_str(&format!("%{other:02X}")),
        }
    }
    name.push_str("?mode=rw");
    establish(&name)
}

fn establish(name: &str) -> Result<SqliteConnection, diesel::r2d2::Error> {
    planner::keep_plans();
    let mut conn = <SqliteConnection as diesel::Connection>::establish(name)
        .map_err(diesel::r2d2::Error::ConnectionError)?;
    result_codes::watch_file(&mut conn);
    Ok(conn)
}

fn set_up(conn: &mut SqliteConnection, reader: bool) -> Result<(), diesel::r2d2::Error> {
    let query_only = if reader { "ON" } else { "OFF" };
    conn.batch_execute(&format!(
        "PRAGMA busy_timeout = 5000; PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; \
         PRAGMA foreign_keys = ON; PRAGMA query_only = {query_only};"
    ))
    .map_err(diesel::r2d2::Error::QueryError)
}

/// Makes a file if there is none, and sees to it that nobody else can read it. Files that SQLite
/// makes beside it get the same mode.
pub(super) fn keep_private(path: &Path) -> io::Result<()> {
    OpenOptions::new()
        .write(true)
        .create(true)
        .truncate(false)
        .mode(MODE)
        .open(path)?;
    for ending in ["", "-wal", "-shm"] {
        let path = beside(path, ending);
        match fs::metadata(&path) {
            Ok(found) if found.mode() & 0o777 == MODE => {}
            Ok(_) => {
                // Somebody else's file may be used; only its owner can close it to others.
                if let Err(error) = fs::set_permissions(&path, Permissions::from_mode(MODE)) {
                    tracing::warn!(file = %path.display(), cause = %error, "others may read it");
                }
            }
            // The last two are there only if SQLite has need of them.
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(error),
        }
    }
    Ok(())
}

/// The name of a file that SQLite keeps beside another.
pub(super) fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    name.into()
}

/// Which file is open. One that was taken away or replaced goes on taking writes that nobody will
/// ever read.
#[derive(Debug, Clone)]
pub(super) struct Identity {
    path: PathBuf,
    device: u64,
    inode: u64,
}

impl Identity {
    pub(super) fn of(path: &Path) -> io::Result<Self> {
        let found = fs::metadata(path)?;
        Ok(Self {
            path: path.to_owned(),
            device: found.dev(),
            inode: found.ino(),
        })
    }

    /// Refuses unless the same file is there still.
    pub(super) fn check(&self) -> Result<(), StorageError> {
        match Self::of(&self.path) {
            Ok(found) if (found.device, found.inode) == (self.device, self.inode) => Ok(()),
            _ => Err(StorageError::Lost(self.path.clone())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_name_can_be_opened_again_and_nothing_is_made() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("it's 100% a bar? #1.sqlite");
        assert!(open(&path, false).is_err());
        assert!(!path.exists());
        keep_private(&path).unwrap();
        assert!(open(&path, false).is_ok());
    }

    #[test]
    fn nobody_else_reads_it() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x.sqlite");
        fs::write(&path, "").unwrap();
        fs::set_permissions(&path, Permissions::from_mode(0o644)).unwrap();
        keep_private(&path).unwrap();
        let mut conn = open(&path, false).unwrap();
        conn.batch_execute("CREATE TABLE t (n INTEGER)").unwrap();
        for ending in ["", "-wal", "-shm"] {
            let found = fs::metadata(beside(&path, ending)).unwrap();
            assert_eq!(found.mode() & 0o777, MODE, "{ending}");
        }
    }

    #[test]
    fn a_file_that_is_replaced_is_another() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x");
        fs::write(&path, "").unwrap();
        let known = Identity::of(&path).unwrap();
        known.check().unwrap();
        let other = dir.path().join("y");
        fs::write(&other, "").unwrap();
        fs::rename(&other, &path).unwrap();
        assert!(known.check().is_err());
        fs::remove_file(&path).unwrap();
        assert!(known.check().is_err());
    }
}
