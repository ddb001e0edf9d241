//! Bodies that are packed, slow or too large: refused, and nobody else waits for them.

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, Unfinished, demo};

/// Headers of somebody with a key.
fn with<'a>(key: &'a str, more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut headers = vec![("Authorization", key)];
    headers.extend(more);
    headers
}

fn bearer(key: &str) -> String {
    format!("Bearer {key}")
}

/// A path of the contract with something in each place.
fn filled(path: &str) -> String {
    let parts = path.split('/').map(|part| {
        if part.starts_with('{') {
            "harbour-bar"
        } else {
            part
        }
    });
    parts.collect::<Vec<_>>().join("/")
}

/// No operation reads a packed body: the head alone is answered, and what it announces never comes.
#[test]
fn a_packed_body_is_refused_before_any_of_it_is_read() {
    let server = Server::empty();
    let key = bearer(server.key());
    let contract = tests::contract::of(&server);
    let mut lines = vec![
        "POST /board/sign-in".to_owned(),
        "POST /board/harbour-bar/demand".to_owned(),
    ];
    for (path, item) in contract["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            if method != "get" {
                lines.push(format!("{} {}", method.to_uppercase(), filled(path)));
            }
            if operation["requestBody"].is_object() {
                let said = &operation["responses"]["415"]["description"];
                let text = said.as_str().unwrap_or_default();
                assert!(text.contains("unsupported_encoding"), "{method} {path}");
            }
        }
    }
    assert!(lines.len() > 50, "{lines:?}");
    for line in &lines {
        let headers = [
            ("Content-Type", "application/json"),
            ("Content-Encoding", "br"),
            ("Content-Length", "1000000000"),
        ];
        let raw = Unfinished::send(&server, line, &with(&key, &headers), "");
        assert_eq!(raw.status(), Some(415), "{line}");
    }
}

#[test]
fn every_way_to_pack_is_refused_and_a_body_as_it_is_is_taken() {
    let server = Server::empty();
    let site = demo::scenario()["site"].clone();
    for encoding in [
        "gzip",
        "br",
        "zstd",
        "deflate",
        "identity, gzip",
        "GZIP",
        "x",
    ] {
        let request = server.request(Method::POST, "/v1/sites").json(&site);
        let reply = server.send(request.header("Content-Encoding", encoding));
        let problem = reply.problem(415, "unsupported_encoding");
        assert_eq!(reply.header("accept-encoding"), "identity", "{problem}");
    }
    let request = server.request(Method::POST, "/v1/sites").json(&site);
    let reply = server.send(request.header("Content-Encoding", "identity"));
    let _ = reply.expect(201);
}

#[test]
fn a_body_that_does_not_arrive_is_not_waited_for() {
    let server = Server::start(&["--body-timeout-s", "1"]);
    let key = bearer(server.key());
    let (json, form) = ("application/json", "application/x-www-form-urlencoded");
    for (line, key, kind) in [
        ("POST /v1/sites", Some(&key), json),
        (
            "POST /v1/calculations/carbonation/pressure",
            Some(&key),
            json,
        ),
        ("POST /v1/session", None, json),
        ("POST /board/sign-in", None, form),
    ] {
        let mut headers = vec![("Content-Type", kind), ("Content-Length", "100")];
        headers.extend(key.map(|key| ("Authorization", key.as_str())));
        let raw = Unfinished::send(&server, line, &headers, "{");
        assert_eq!(raw.status(), Some(408), "{line}");
    }
    // With a name for the request too, which reads the body to recognise it.
    let headers = [
        ("Content-Type", json),
        ("Content-Length", "100"),
        ("Idempotency-Key", "slow"),
    ];
    let raw = Unfinished::send(&server, "POST /v1/sites", &with(&key, &headers), "{");
    assert_eq!(raw.status(), Some(408));
}

#[test]
fn somebody_who_is_not_known_sends_little() {
    let server = Server::empty();
    let body = json!({ "name": "x".repeat(70_000), "password": "y" });
    let request = server.stranger(Method::POST, "/v1/session").json(&body);
    let _ = server.send(request).problem(413, "body_too_large");
    // Nothing of a body is read where a key is asked for and none is shown.
    let headers = [
        ("Content-Type", "application/json"),
        ("Content-Length", "1000000"),
    ];
    let raw = Unfinished::send(&server, "POST /v1/sites", &headers, "");
    assert_eq!(raw.status(), Some(401));
    let form = [
        ("Content-Type", "application/x-www-form-urlencoded"),
        ("Content-Length", "1000000"),
    ];
    let raw = Unfinished::send(&server, "POST /board/harbour-bar/demand", &form, "");
    assert_eq!(raw.status(), Some(303));
}

/// As many as would take every thread that may wait.
const MANY: usize = 530;

#[test]
fn stalled_uploads_hold_up_nobody_else() {
    let server = Server::start(&["--body-timeout-s", "2"]);
    demo::store(&server);
    let key = json!({ "name": "slow", "scopes": ["plan"] });
    let made = server.post("/v1/keys", &key).expect(201);
    let slow = bearer(made["key"].as_str().unwrap());
    let headers = [("Content-Type", "text/csv"), ("Content-Length", "1000")];
    let line = format!("POST {}/demand.csv", demo::SITE);
    let head = "id,product,due,litres,priority,kind\n";
    let stalled = (0..MANY).map(|_| Unfinished::send(&server, &line, &with(&slow, &headers), head));
    let stalled: Vec<Unfinished> = stalled.collect();
    // Somebody else reads and sends meanwhile.
    let sites = server.get("/v1/sites").ok();
    assert_eq!(sites["sites"].as_array().map(Vec::len), Some(1), "{sites}");
    let table = server.get(&format!("{}/demand.csv", demo::SITE)).text;
    let request = server
        .request(Method::POST, &format!("{}/demand.csv", demo::SITE))
        .header("Content-Type", "text/csv");
    let outcome: Value = server.send(request.body(table)).ok();
    assert_eq!(outcome["new"], 0);
    let ends: Vec<Option<u16>> = stalled.iter().map(Unfinished::status).collect();
    assert!(ends.contains(&Some(408)), "{ends:?}");
    let expected = |end: &Option<u16>| matches!(end, Some(408 | 429));
    assert!(ends.iter().all(expected), "{ends:?}");
}
