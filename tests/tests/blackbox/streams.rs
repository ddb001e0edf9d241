//! A stream of events ends when whoever reads it may not read on, and when the service stops.

use std::io::Read;

use reqwest::Method;
use reqwest::blocking::Response;
use serde_json::{Value, json};
use tests::{Server, demo};

fn text(value: &Value) -> String {
    value.as_str().expect("a text").to_owned()
}

fn key(server: &Server, more: Value) -> Value {
    let mut body = json!({ "name": "reader", "scopes": ["read"] });
    for (name, value) in more.as_object().unwrap() {
        body[name] = value.clone();
    }
    server.post("/v1/keys", &body).expect(201)
}

/// A stream that is open: its first comment has come.
fn opened(server: &Server, key: &str) -> Response {
    let request = server.request_as(key, Method::GET, "/v1/events/stream");
    begun(request.send().unwrap())
}

fn begun(mut response: Response) -> Response {
    assert_eq!(response.status().as_u16(), 200);
    let mut first = [0; 1];
    response.read_exact(&mut first).unwrap();
    response
}

/// Waits until a stream ends, and ends well: the client gives up after two minutes.
fn ends(mut response: Response) {
    let mut rest = String::new();
    response
        .read_to_string(&mut rest)
        .expect("the stream is ended, not cut off");
}

#[test]
fn a_revoked_keys_stream_ends() {
    let server = Server::empty();
    let made = key(&server, json!({}));
    let stream = opened(&server, &text(&made["key"]));
    let other = key(&server, json!({}));
    let goes_on = opened(&server, &text(&other["key"]));
    assert_eq!(
        server
            .delete(&format!("/v1/keys/{}", text(&made["id"])))
            .status,
        204
    );
    ends(stream);
    // Who was not revoked reads on.
    let _ = server
        .post("/v1/sites", &demo::scenario()["site"])
        .expect(201);
    let mut told = std::io::BufReader::new(goes_on);
    let mut line = String::new();
    while !line.contains("site.created") {
        line.clear();
        let read = std::io::BufRead::read_line(&mut told, &mut line).unwrap();
        assert!(read > 0, "it ended too");
    }
}

#[test]
fn an_expired_keys_stream_ends() {
    let server = Server::empty();
    let soon = chrono::Utc::now() + chrono::TimeDelta::seconds(4);
    let made = key(&server, json!({ "expires_at": soon.to_rfc3339() }));
    ends(opened(&server, &text(&made["key"])));
}

#[test]
fn an_ended_sessions_streams_end() {
    let server = Server::empty();
    let person = json!({ "name": "Ines", "password": "a long enough one", "scopes": ["read"] });
    let _ = server.post("/v1/people", &person).expect(201);
    let body = json!({ "name": "Ines", "password": "a long enough one" });
    let session = server.send(server.stranger(Method::POST, "/v1/session").json(&body));
    let csrf = text(&session.ok()["csrf_token"]);
    let cookie = session
        .header("set-cookie")
        .split(';')
        .next()
        .unwrap()
        .to_owned();
    let request = server.stranger(Method::GET, "/v1/events/stream");
    let stream = begun(request.header("Cookie", &cookie).send().unwrap());
    let out = server
        .stranger(Method::DELETE, "/v1/session")
        .header("Cookie", &cookie)
        .header("X-CSRF-Token", csrf);
    assert_eq!(server.send(out).status, 204);
    ends(stream);
}

/// It ends as a stream does, with its last chunk: it is not cut off when the grace is over.
#[test]
fn streams_end_when_the_service_is_told_to_stop() {
    let mut server = Server::empty();
    let stream = opened(&server, server.key());
    let reader = std::thread::spawn(move || ends(stream));
    server.terminate();
    reader.join().expect("the stream ended well");
}
