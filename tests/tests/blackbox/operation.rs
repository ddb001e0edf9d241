//! Running it: settings, copies, keys from the command line, counters, logs.

use std::io::{BufRead, BufReader, Read};
use std::process::{Command, Stdio};

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, demo, fizzwright, program};

fn client() -> reqwest::blocking::Client {
    let builder = reqwest::blocking::Client::builder().no_proxy();
    builder.build().unwrap()
}

#[test]
fn settings_are_printed_with_where_they_came_from() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("fizzwright.toml");
    std::fs::write(
        &file,
        "solvers = 2\ndatabase = \"postgres://bar:secret@db/fizz\"\n",
    )
    .unwrap();
    let file = file.to_str().unwrap();
    let shown = fizzwright(
        &["config", "--config", file, "--listen", "127.0.0.1:9"],
        b"",
    )
    .well();
    for part in [
        format!("# {file}\nsolvers = 2"),
        "# --listen\nlisten = \"127.0.0.1:9\"".to_owned(),
        "# default\nlog = \"text\"".to_owned(),
        "postgres://bar@db/fizz".to_owned(),
    ] {
        assert!(shown.out.contains(&part), "{part} is not in\n{}", shown.out);
    }
    assert!(!shown.out.contains("secret"), "{}", shown.out);
    let said = Command::new(program::path())
        .args(["config", "--config", file])
        .env("FIZZWRIGHT_SOLVERS", "4")
        .output()
        .unwrap();
    let text = String::from_utf8(said.stdout).unwrap();
    assert!(text.contains("# FIZZWRIGHT_SOLVERS\nsolvers = 4"), "{text}");
}

#[test]
fn settings_that_cannot_be_used_end_the_start() {
    let check = |text: &str, parts: &[&str]| {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("wrong.toml");
        std::fs::write(&file, text).unwrap();
        let ended = fizzwright(&["serve", "--config", file.to_str().unwrap()], b"");
        assert_eq!(ended.code, Some(2), "{text}");
        for part in parts {
            assert!(ended.err.contains(part), "{part} is not in {}", ended.err);
        }
    };
    check("solvers = 0", &["solvers", "1 to 16"]);
    check("colour = \"blue\"", &["colour", "unknown", "wrong.toml"]);
    check("listen = \"everywhere\"", &["listen", "wrong.toml"]);
    let ended = fizzwright(&["serve", "--config", "/nowhere.toml"], b"");
    assert!(ended.err.contains("no such file"), "{}", ended.err);
}

#[test]
fn a_copy_is_taken_and_put_back_while_the_service_runs() {
    let server = demo::fixed_week();
    let copy = server.dir().join("copy");
    let copy = copy.to_str().unwrap();
    let database = ["--database", server.database()];
    let run = |command: &str| fizzwright(&[command, copy, database[0], database[1]], b"");
    let _ = run("backup").well();
    assert_eq!(run("backup").code, Some(2), "a copy is not written over");
    let line = format!("{}/demand/fri-tonic", demo::SITE);
    let before = server.get(&format!("{}/demand", demo::SITE)).ok();
    assert_eq!(server.delete(&line).status, 204);
    let _ = run("restore").well();
    assert_eq!(server.get(&format!("{}/demand", demo::SITE)).ok(), before);
    // It goes on working: a plan is made from what was put back.
    let plan = server.post(&format!("{}/plans", demo::SITE), &demo::week());
    let path = plan.header("location").to_owned();
    let done = server.poll(&path, |plan| {
        plan["state"] != "queued" && plan["state"] != "running"
    });
    assert_eq!(done["state"], "done", "{done}");
    let postgres = ["backup", "x", "--database", "postgres://db/fizz"];
    let ended = fizzwright(&postgres, b"");
    assert!(ended.err.contains("pg_dump"), "{}", ended.err);
}

#[test]
fn a_key_is_made_where_nobody_has_one() {
    let server = Server::empty();
    let made = fizzwright(
        &[
            "key",
            "Spare",
            "--scope",
            "floor",
            "--site",
            "long-bar",
            "--database",
            server.database(),
        ],
        b"",
    );
    let key = made.well().out.trim().to_owned();
    let who = server
        .send(server.request_as(&key, Method::GET, "/v1/session"))
        .ok();
    assert_eq!(
        who,
        json!({ "kind": "key", "name": "Spare", "scopes": ["floor"], "sites": ["long-bar"] })
    );
}

#[test]
fn somebody_is_let_in_where_nobody_may_sign_in() {
    let server = Server::empty();
    let add = || {
        let words = ["person", "Ines", "--scope", "floor", "--database"];
        let words = [&words[..], &[server.database()]].concat();
        fizzwright(&words, b"")
    };
    let password = add().well().out.trim().to_owned();
    let said = json!({ "name": "Ines", "password": password });
    let asked = server.stranger(Method::POST, "/v1/session").json(&said);
    let session = server.send(asked).ok();
    assert_eq!(session["person"]["scopes"], json!(["floor"]), "{session}");
    let again = add();
    assert!(again.err.contains("already"), "{}", again.err);
}

#[test]
fn the_first_key_is_printed_once_where_no_file_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let database = dir.path().join("x.sqlite");
    let first_lines = || {
        let mut child = Command::new(program::path())
            .args(["serve", "--listen", "127.0.0.1:0", "--database"])
            .arg(&database)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut said = String::new();
        out.read_line(&mut said).unwrap();
        // Once it answers, it has said everything and listens to a polite stop.
        let root = said.trim().strip_prefix("Listening on ").unwrap();
        let health = client().get(format!("{root}/healthz")).send();
        assert_eq!(health.unwrap().status(), 200);
        tests::server::interrupt(child.id());
        out.read_to_string(&mut said).unwrap();
        assert!(child.wait().unwrap().success());
        said
    };
    let first = first_lines();
    assert!(first.contains("your key       fizz_"), "{first}");
    assert!(first.contains("sign in there  as owner with "), "{first}");
    let second = first_lines();
    assert!(!second.contains("fizz_"), "{second}");
    assert!(
        second.contains("sign in there  with your name and password"),
        "{second}"
    );
    let migrated = fizzwright(&["migrate", "--database", database.to_str().unwrap()], b"").well();
    assert!(migrated.out.contains("is up to date"), "{}", migrated.out);
}

#[test]
fn what_was_done_is_counted() {
    let server = demo::fixed_week();
    let plan = server.post(&format!("{}/plans", demo::SITE), &demo::week());
    let path = plan.header("location").to_owned();
    let _ = server.poll(&path, |plan| plan["state"] == "done");
    let reply = server.get("/metrics");
    assert!(reply.header("content-type").starts_with("text/plain"));
    for line in [
        "fizzwright_requests_total{operation=\"create_site\",status=\"201\"} 1",
        "fizzwright_solves_total{outcome=\"done\"} 1",
        "fizzwright_plan_gap_count 1",
        "fizzwright_plans{state=\"queued\"} 0",
        "fizzwright_request_seconds_count{operation=\"request_plan\"} 1",
    ] {
        assert!(
            reply.text.contains(line),
            "{line} is not in\n{}",
            reply.text
        );
    }
    let stranger = server.send(server.stranger(Method::GET, "/metrics"));
    let _ = stranger.problem(401, "unauthenticated");
}

#[test]
fn a_log_for_programs_is_json_with_the_request_in_it() {
    let dir = tempfile::tempdir().unwrap();
    let log = dir.path().join("log");
    let mut child = Command::new(program::path())
        .args([
            "serve",
            "--listen",
            "127.0.0.1:0",
            "--log",
            "json",
            "--database",
        ])
        .arg(dir.path().join("x.sqlite"))
        .arg("--key-file")
        .arg(dir.path().join("key"))
        .stdout(Stdio::piped())
        .stderr(std::fs::File::create(&log).unwrap())
        .spawn()
        .unwrap();
    let mut first = String::new();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    out.read_line(&mut first).unwrap();
    let root = first.trim().strip_prefix("Listening on ").unwrap();
    let asked = client()
        .get(format!("{root}/healthz"))
        .header("X-Request-Id", "till-7");
    assert_eq!(asked.send().unwrap().status(), 200);
    tests::server::interrupt(child.id());
    assert!(child.wait().unwrap().success());
    let text = std::fs::read_to_string(log).unwrap();
    let lines: Vec<Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let line = lines
        .iter()
        .find(|line| line["message"] == "answered")
        .unwrap();
    assert_eq!(line["status"], 200);
    assert_eq!(line["span"]["id"], "till-7");
}
