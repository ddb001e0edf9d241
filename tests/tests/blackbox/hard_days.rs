//! Damaged files, files of others, files that go away: refused with what was found, and nothing
//! half-made is left. With a file of SQLite's.

use std::fs;
use std::io::{Seek, SeekFrom, Write};
use std::path::Path;
use std::time::{Duration, Instant};

use serde_json::json;
use tests::{Ended, Reply, Server, database, demo, fizzwright};

fn start(file: &Path) -> Ended {
    let arguments = ["serve", "--listen", "127.0.0.1:0", "--database"];
    fizzwright(&[&arguments[..], &[file.to_str().unwrap()]].concat(), b"")
}

fn refused(file: &Path, parts: &[&str]) {
    let before = fs::read(file).unwrap();
    let ended = start(file);
    assert_eq!(ended.code, Some(1), "{}", ended.err);
    for part in parts {
        assert!(ended.err.contains(part), "{part} is not in {}", ended.err);
    }
    assert!(fs::read(file).unwrap() == before, "it was changed");
}

/// Asks until the status is as wanted.
fn until(server: &Server, path: &str, status: u16) -> Reply {
    let begun = Instant::now();
    loop {
        let reply = server.get(path);
        if reply.status == status {
            return reply;
        }
        let late = begun.elapsed() > Duration::from_secs(60);
        assert!(!late, "{path} stays {}: {}", reply.status, reply.text);
        std::thread::sleep(Duration::from_millis(50));
    }
}

/// A database of the demo's week, with nothing beside it.
fn made(dir: &Path) -> std::path::PathBuf {
    let server = demo::fixed_week();
    let file = dir.join("x.sqlite");
    let arguments = [
        "backup",
        file.to_str().unwrap(),
        "--database",
        server.database(),
    ];
    let _ = fizzwright(&arguments, b"").well();
    file
}

#[test]
fn a_file_of_another_program_is_refused_and_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("notes.sqlite");
    let path = file.to_str().unwrap();
    let _ = database::in_file(path, "CREATE TABLE notes (text TEXT)");
    refused(&file, &["not one of Fizzwright's", "notes"]);
    let ended = fizzwright(&["migrate", "--database", path], b"");
    assert_eq!(ended.code, Some(1));
    assert_eq!(
        database::in_file(path, "SELECT count(*) FROM sqlite_master"),
        "1"
    );
}

#[test]
fn a_database_of_a_newer_version_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let file = made(dir.path());
    let path = file.to_str().unwrap();
    // One that was never signed is ours by its tables.
    let _ = database::in_file(path, "SELECT 1");
    let _ = fizzwright(&["migrate", "--database", path], b"").well();
    let _ = database::in_file(
        path,
        "INSERT INTO __diesel_schema_migrations (version) VALUES ('29991231000000')",
    );
    refused(&file, &["newer version", "29991231000000"]);
}

#[test]
fn a_damaged_database_is_neither_served_nor_copied_nor_put_back() {
    let dir = tempfile::tempdir().unwrap();
    let file = made(dir.path());
    let whole = dir.path().join("whole.sqlite");
    fs::copy(&file, &whole).unwrap();
    let pages = fs::metadata(&file).unwrap().len() / 4096;
    let mut open = fs::OpenOptions::new().write(true).open(&file).unwrap();
    for page in 2..pages {
        open.seek(SeekFrom::Start(page * 4096)).unwrap();
        open.write_all(&[0xff; 64]).unwrap();
    }
    drop(open);
    refused(&file, &["damaged", "restore"]);
    let path = file.to_str().unwrap();
    let copy = dir.path().join("copy.sqlite");
    let ended = fizzwright(&["backup", copy.to_str().unwrap(), "--database", path], b"");
    assert_eq!(ended.code, Some(1));
    assert!(ended.err.contains("damaged"), "{}", ended.err);
    let to = whole.to_str().unwrap();
    let ended = fizzwright(&["restore", path, "--database", to], b"");
    assert!(ended.err.contains("damaged"), "{}", ended.err);
    let names = fs::read_dir(dir.path()).unwrap();
    let names: Vec<String> = names
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.starts_with("copy") || name.contains("unfinished"))
        .collect();
    assert_eq!(names, [""; 0], "nothing half-made is left");
}

#[test]
fn a_database_that_went_away_is_a_clear_answer_and_not_ready() {
    let server = demo::fixed_week();
    assert_eq!(server.get("/readyz").status, 200);
    let aside = format!("{}.aside", server.database());
    fs::rename(server.database(), &aside).unwrap();
    let mut site = demo::scenario()["site"].clone();
    site["id"] = json!("long-bar");
    let reply = server.post("/v1/sites", &site);
    let _ = reply.problem(503, "storage_unavailable");
    assert_eq!(reply.header("retry-after"), "5");
    let ready = until(&server, "/readyz", 503);
    assert_eq!(ready.header("retry-after"), "5");
    assert!(!Path::new(server.database()).exists(), "no other was made");
    fs::rename(&aside, server.database()).unwrap();
    let _ = until(&server, "/readyz", 200);
}
