//! Changes on condition, for what has no revision: a lost update is refused.

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server};

fn sent(server: &Server, method: Method, path: &str, tag: &str, body: Option<&Value>) -> Reply {
    let request = server.request(method, path).header("If-Match", tag);
    server.send(match body {
        Some(body) => request.json(body),
        None => request,
    })
}

/// Two read the same; the first change is taken, the second is refused until it is read again.
fn second_is_refused(server: &Server, path: &str, change: impl Fn(&str) -> Reply) {
    let read = server.get(path);
    let first = change(read.header("etag"));
    assert_eq!(first.status, 200, "{}", first.text);
    let second = change(read.header("etag"));
    let _ = second.problem(412, "changed_since");
    let now = server.get(path);
    assert_eq!(now.header("etag"), first.header("etag"));
    let again = change(now.header("etag"));
    assert_eq!(again.status, 200, "{}", again.text);
    let odd = change("9f86d081884c7d65");
    let _ = odd.problem(400, "bad_header");
}

#[test]
fn a_lost_update_of_a_person_is_refused() {
    let server = Server::empty();
    let person = json!({ "name": "Ines", "password": "four words, well chosen",
        "scopes": ["floor"] });
    let added = server.post("/v1/people", &person);
    let _ = added.expect(201);
    let path = added.header("location").to_owned();
    assert_eq!(server.get(&path).header("etag"), added.header("etag"));
    // A new password changes nothing that is shown, and is a change.
    let words = std::cell::Cell::new(0);
    second_is_refused(&server, &path, |tag| {
        words.set(words.get() + 1);
        let password = format!("four other words, well chosen {}", words.get());
        let body = json!({ "password": password });
        sent(&server, Method::PATCH, &path, tag, Some(&body))
    });
    let before = server.get(&path);
    let scopes = json!({ "scopes": ["read"] });
    let _ = sent(&server, Method::PATCH, &path, "*", Some(&scopes)).ok();
    let gone = sent(&server, Method::DELETE, &path, before.header("etag"), None);
    let _ = gone.problem(412, "changed_since");
    let tag = server.get(&path).header("etag").to_owned();
    let gone = sent(&server, Method::DELETE, &path, &tag, None);
    assert_eq!(gone.status, 204, "{}", gone.text);
    let _ = server.get(&path).problem(404, "unknown_person");
}

#[test]
fn a_lost_update_of_a_webhook_is_refused() {
    let server = Server::empty();
    let hook = |note: &str| json!({ "url": "https://hooks.example/fizz", "note": note });
    let made = server.post("/v1/webhooks", &hook("first"));
    let _ = made.expect(201);
    let path = made.header("location").to_owned();
    let notes = std::cell::Cell::new(0);
    second_is_refused(&server, &path, |tag| {
        notes.set(notes.get() + 1);
        let body = hook(&notes.get().to_string());
        sent(&server, Method::PUT, &path, tag, Some(&body))
    });
    let before = server.get(&path);
    let _ = server.put(&path, &hook("without a condition")).ok();
    let gone = sent(&server, Method::DELETE, &path, before.header("etag"), None);
    let _ = gone.problem(412, "changed_since");
    let tag = server.get(&path).header("etag").to_owned();
    let gone = sent(&server, Method::DELETE, &path, &tag, None);
    assert_eq!(gone.status, 204, "{}", gone.text);
}

#[test]
fn a_key_is_revoked_as_it_was_read() {
    let server = Server::empty();
    let made = server.post("/v1/keys", &json!({ "name": "till", "scopes": ["read"] }));
    let text = made.expect(201)["key"].as_str().unwrap().to_owned();
    let path = made.header("location").to_owned();
    let read = server.get(&path);
    assert_eq!(read.ok()["name"], "till");
    assert!(!read.text.contains(&text), "the text is shown once");
    let gone = sent(&server, Method::DELETE, &path, "\"0\"", None);
    let _ = gone.problem(412, "changed_since");
    let gone = sent(&server, Method::DELETE, &path, read.header("etag"), None);
    assert_eq!(gone.status, 204, "{}", gone.text);
    // It stays in the list, revoked: that is a change.
    let again = sent(&server, Method::DELETE, &path, read.header("etag"), None);
    let _ = again.problem(412, "changed_since");
}
