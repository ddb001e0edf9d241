//! Looking into a server's database, and changing it as a crash or an old age would.

use std::process::Command;

use crate::{Server, cluster};

const SCRIPT: &str = "
import sqlite3, sys
base = sqlite3.connect(sys.argv[1], timeout=60, isolation_level=None)
if sys.argv[2].lstrip().upper().startswith('SELECT'):
    for row in base.execute(sys.argv[2]):
        print('|'.join('' if value is None else str(value) for value in row))
else:
    base.executescript('BEGIN IMMEDIATE;' + sys.argv[2] + ';COMMIT')
";

/// Runs SQL that both databases understand, and gives the rows it printed.
///
/// # Panics
/// If the database refuses it.
#[must_use]
pub fn sql(server: &Server, sql: &str) -> String {
    match cluster::asked_for() {
        Some(cluster) => cluster.sql(server.database(), sql),
        None => in_file(server.database(), sql),
    }
}

/// Runs SQL against a file of SQLite's, and gives the rows it printed.
///
/// # Panics
/// If SQLite refuses it.
#[must_use]
pub fn in_file(path: &str, sql: &str) -> String {
    let said = Command::new("python3")
        .args(["-c", SCRIPT, path, sql])
        .output()
        .expect("python3 runs");
    let errors = String::from_utf8_lossy(&said.stderr);
    assert!(said.status.success(), "{sql}: {errors}");
    String::from_utf8_lossy(&said.stdout).trim().to_owned()
}
