//! After a copy is put back: keys that do not work now stay dead, and nobody reads on as if nothing
//! had happened.

use std::os::unix::fs::PermissionsExt;

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, demo, fizzwright};

fn line(server: &Server, id: &str) {
    let line = json!({ "product": "tonic", "due": "2026-06-05T17:00:00+01:00", "litres": 5.0,
        "priority": 3, "kind": "booking" });
    let path = format!("{}/demand/{id}", demo::SITE);
    let _ = server.put(&path, &line).expect(201);
}

fn run(server: &Server, command: &str, more: &[&str]) -> tests::Ended {
    let copy = server.dir().join("copy");
    let database = ["--database", server.database()];
    let arguments = [&[command, copy.to_str().unwrap()], &database[..], more].concat();
    fizzwright(&arguments, b"")
}

fn status(server: &Server, key: &str) -> u16 {
    server
        .send(server.request_as(key, Method::GET, "/v1/session"))
        .status
}

#[test]
fn a_key_that_was_revoked_since_stays_revoked() {
    let server = demo::fixed_week();
    let made = |name: &str| -> Value {
        let key = json!({ "name": name, "scopes": ["floor"] });
        server.post("/v1/keys", &key).expect(201)
    };
    let (till, lost) = (made("Till"), made("Lost"));
    let _ = run(&server, "backup", &[]).well();
    let path = format!("/v1/keys/{}", lost["id"].as_str().unwrap());
    assert!(server.delete(&path).status < 300);
    let key = |made: &Value| made["key"].as_str().unwrap().to_owned();
    assert_eq!(status(&server, &key(&lost)), 401);
    let told = run(&server, "restore", &[]).well();
    assert!(told.out.contains("do not work any more: 1"), "{}", told.out);
    assert_eq!(status(&server, &key(&till)), 200);
    assert_eq!(status(&server, &key(&lost)), 401);
    let _ = run(&server, "restore", &["--keep-keys"]).well();
    assert_eq!(status(&server, &key(&lost)), 401);
}

#[test]
fn who_has_read_events_that_are_undone_is_told() {
    let server = demo::fixed_week();
    let next = |after: i64| {
        let list = server.get(&format!("/v1/events?after={after}")).ok();
        list["next"].as_i64().unwrap()
    };
    let kept = next(0);
    let _ = run(&server, "backup", &[]).well();
    line(&server, "one");
    line(&server, "two");
    let undone = next(kept);
    assert_eq!(undone, kept + 2);
    let _ = run(&server, "restore", &[]).well();
    for after in [kept + 1, undone] {
        let gone = server.get(&format!("/v1/events?after={after}"));
        let problem = gone.problem(410, "events_gone");
        let detail = problem["detail"].as_str().unwrap();
        assert!(detail.contains(&format!("after={kept}")), "{detail}");
    }
    let stream = server.request(Method::GET, "/v1/events/stream");
    let stream = server.send(stream.header("Last-Event-ID", undone.to_string()));
    let _ = stream.problem(410, "events_gone");
    // Whoever had read no further reads on, and no number is given twice.
    assert_eq!(next(kept), kept);
    line(&server, "three");
    assert_eq!(next(kept), undone + 1);
    let events = server.get(&format!("/v1/events?after={kept}")).ok();
    assert_eq!(events["events"][0]["data"]["demand"], json!(["three"]));
}

#[test]
fn nobody_else_can_read_a_database_or_a_copy() {
    let server = demo::fixed_week();
    let _ = run(&server, "backup", &[]).well();
    let database = server.database().to_owned();
    let copy = server.dir().join("copy").display().to_string();
    for file in [
        &database,
        &format!("{database}-wal"),
        &format!("{database}-shm"),
        &copy,
    ] {
        let mode = std::fs::metadata(file).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "{file}");
    }
}
