//! Manners of the protocol: repeats, reading again, quotas, compression, other origins.

use std::thread;

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server, demo};

fn named(server: &Server, name: &str, path: &str, body: &Value) -> Reply {
    let request = server
        .request(Method::POST, path)
        .header("Idempotency-Key", name);
    server.send(request.json(body))
}

#[test]
fn a_request_sent_twice_is_answered_twice_and_done_once() {
    let server = demo::fixed_week();
    let path = format!("{}/plans", demo::SITE);
    let first = named(&server, "monday", &path, &demo::week());
    let second = named(&server, "monday", &path, &demo::week());
    assert_eq!(first.expect(202), second.expect(202));
    assert_eq!(first.header("location"), second.header("location"));
    assert_eq!(second.header("idempotent-replayed"), "true");
    let plans = server.get(&path).ok();
    assert_eq!(plans["plans"].as_array().unwrap().len(), 1);
    let mut other = demo::week();
    other["days"] = json!(6);
    let _ = named(&server, "monday", &path, &other).problem(422, "repeat_differs");
    let third = named(&server, "tuesday", &path, &demo::week());
    assert_ne!(third.expect(202)["id"], first.json()["id"]);
    // Somebody else's "monday" is another.
    let made = server
        .post("/v1/keys", &json!({ "name": "till", "scopes": ["plan"] }))
        .expect(201);
    let theirs = server
        .request_as(made["key"].as_str().unwrap(), Method::POST, &path)
        .header("Idempotency-Key", "monday")
        .json(&demo::week());
    assert_ne!(server.send(theirs).expect(202)["id"], first.json()["id"]);
    let _ = named(&server, "", &path, &demo::week()).problem(400, "bad_header");
    let _ = named(&server, &"x".repeat(201), &path, &demo::week()).problem(400, "bad_header");
}

#[test]
fn a_refusal_is_repeated_too() {
    let server = Server::empty();
    let site = demo::scenario()["site"].clone();
    let mut wrong = site.clone();
    wrong["currency"] = json!("euro");
    let first = named(&server, "one", "/v1/sites", &wrong).problem(422, "invalid");
    assert_eq!(
        first,
        named(&server, "one", "/v1/sites", &wrong).problem(422, "invalid")
    );
    let created = named(&server, "two", "/v1/sites", &site);
    let again = named(&server, "two", "/v1/sites", &site);
    assert_eq!(created.expect(201), again.expect(201));
    assert_eq!(again.header("etag"), "\"1\"");
    let _ = server.post("/v1/sites", &site).problem(409, "site_exists");
}

#[test]
fn of_many_equal_requests_at_once_one_is_done() {
    let server = demo::fixed_week();
    let path = format!("{}/plans", demo::SITE);
    let statuses: Vec<u16> = thread::scope(|scope| {
        let asking: Vec<_> = (0..8)
            .map(|_| scope.spawn(|| named(&server, "all", &path, &demo::week()).status))
            .collect();
        asking.into_iter().map(|t| t.join().unwrap()).collect()
    });
    assert!(
        statuses.iter().all(|s| [202, 409].contains(s)),
        "{statuses:?}"
    );
    assert!(statuses.contains(&202));
    let plans = server.get(&path).ok();
    assert_eq!(plans["plans"].as_array().unwrap().len(), 1);
}

#[test]
fn what_has_not_changed_is_not_sent_again() {
    let server = demo::fixed_week();
    let again = |path: &str, tag: &str| {
        let request = server.request(Method::GET, path);
        server.send(request.header("If-None-Match", tag))
    };
    let plans = format!("{}/plans", demo::SITE);
    let setup = format!("{}/setup", demo::SITE);
    let demand = format!("{}/demand", demo::SITE);
    for path in [
        demo::SITE,
        &plans,
        &setup,
        &demand,
        "/v1/limits",
        "/openapi.json",
    ] {
        let first = server.get(path);
        let tag = first.header("etag");
        assert_eq!(first.header("cache-control"), "private, no-cache", "{path}");
        let same = again(path, tag);
        assert_eq!((same.status, same.text.as_str()), (304, ""), "{path}");
        assert_eq!(same.header("etag"), tag);
        assert_eq!(again(path, "\"other\"").status, 200, "{path}");
    }
    let tag = server.get(&demand).header("etag").to_owned();
    assert_eq!(server.delete(&format!("{demand}/fri-tonic")).status, 204);
    assert_eq!(again(&demand, &tag).status, 200);
}

#[test]
fn answers_are_compressed_for_those_who_can_read_it() {
    let server = Server::empty();
    let request = server.request(Method::GET, "/openapi.json");
    let reply = request.header("Accept-Encoding", "gzip").send().unwrap();
    assert_eq!(reply.headers()["content-encoding"], "gzip");
    let vary = reply.headers()["vary"].to_str().unwrap().to_lowercase();
    assert!(vary.contains("accept-encoding"));
    assert!(reply.bytes().unwrap().len() < 400_000);
    assert!(
        server
            .get("/openapi.json")
            .headers
            .get("content-encoding")
            .is_none()
    );
}

#[test]
fn who_asks_too_often_is_told_when_to_come_again() {
    let server = Server::start(&["--requests-per-minute", "5"]);
    let replies: Vec<Reply> = (0..6).map(|_| server.get("/v1/sites")).collect();
    assert_eq!(replies[0].header("ratelimit-policy"), "\"caller\";q=5;w=60");
    assert_eq!(replies[0].header("ratelimit"), "\"caller\";r=4");
    assert_eq!(replies[4].status, 200);
    let _ = replies[5].problem(429, "too_many_requests");
    let wait: u64 = replies[5].header("retry-after").parse().unwrap();
    assert!((1..=12).contains(&wait), "{wait}");
    assert_eq!(server.get("/healthz").status, 200);
}

#[test]
fn other_origins_are_let_in_only_where_the_settings_say_so() {
    let from = |server: &Server, origin: &str| {
        let request = server
            .request(Method::GET, "/v1/sites")
            .header("Origin", origin);
        server.send(request)
    };
    let closed = from(&Server::empty(), "https://board.example");
    assert!(closed.headers.get("access-control-allow-origin").is_none());
    let server = Server::start(&["--allowed-origin", "https://board.example"]);
    let open = from(&server, "https://board.example");
    assert_eq!(
        open.header("access-control-allow-origin"),
        "https://board.example"
    );
    assert!(
        open.headers
            .get("access-control-allow-credentials")
            .is_none()
    );
    let other = from(&server, "https://elsewhere.example");
    assert!(other.headers.get("access-control-allow-origin").is_none());
    let ahead = server
        .stranger(Method::OPTIONS, "/v1/sites")
        .header("Origin", "https://board.example")
        .header("Access-Control-Request-Method", "POST")
        .header(
            "Access-Control-Request-Headers",
            "authorization, idempotency-key",
        );
    assert_eq!(server.send(ahead).status, 200);
}

#[test]
fn a_name_that_stands_twice_and_endless_depth_are_refused() {
    let server = Server::empty();
    let post = |body: String| {
        let request = server
            .request(Method::POST, "/v1/sites")
            .header("Content-Type", "application/json");
        server.send(request.body(body))
    };
    let site = demo::scenario()["site"].to_string();
    let twice = site.replacen('{', "{\"name\": \"other\", ", 1);
    let problem = post(twice).problem(422, "invalid");
    assert!(
        problem["detail"]
            .as_str()
            .unwrap()
            .contains("duplicate field"),
        "{problem}"
    );
    let deep = format!("{{\"id\": {}1{}}}", "[".repeat(5000), "]".repeat(5000));
    assert!([400, 422].contains(&post(deep).status));
    let huge = site.replacen("\"elevation_m\":", "\"elevation_m\":1e999, \"x\":", 1);
    assert!([400, 422].contains(&post(huge).status));
}
