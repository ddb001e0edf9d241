//! The service itself: health, documentation without the internet, request ids.

use reqwest::Method;
use tests::{Server, fizzwright};

#[test]
fn a_fresh_service_is_alive_and_ready() {
    let server = Server::empty();
    for path in ["/healthz", "/readyz"] {
        assert_eq!(server.get(path).ok()["status"], "ok");
    }
}

#[test]
fn the_documentation_needs_nothing_from_the_internet() {
    let server = Server::empty();
    assert_eq!(server.get("/docs").header("location"), "/docs/");
    let page = server.get("/docs/");
    assert_eq!(page.status, 200);
    for file in [
        "index.css",
        "swagger-ui.css",
        "swagger-ui-bundle.js",
        "swagger-initializer.js",
    ] {
        assert_eq!(server.get(&format!("/docs/{file}")).status, 200, "{file}");
    }
    let start = server.get("/docs/swagger-initializer.js").text;
    assert!(start.contains("/openapi.json"), "{start}");
    for text in [page.text, start, server.get("/").text] {
        assert!(
            !text.contains("http://") && !text.contains("https://"),
            "{text}"
        );
    }
}

#[test]
fn head_is_get_without_the_body() {
    let server = Server::empty();
    let head = server.send(server.request(Method::HEAD, "/healthz"));
    assert_eq!((head.status, head.text.as_str()), (200, ""));
    let length = server.get("/healthz").text.len().to_string();
    assert_eq!(head.header("content-length"), length);
}

#[test]
fn every_answer_has_a_request_id() {
    let server = Server::empty();
    let one = server.get("/v1/nothing").header("x-request-id").to_owned();
    assert_ne!(one, server.get("/v1/sites").header("x-request-id"));
    let own = server
        .request(Method::GET, "/v1/sites")
        .header("X-Request-Id", "till-7:42");
    assert_eq!(server.send(own).header("x-request-id"), "till-7:42");
    let odd = server
        .request(Method::GET, "/v1/sites")
        .header("X-Request-Id", "a b\"c");
    assert_ne!(server.send(odd).header("x-request-id"), "a b\"c");
}

#[test]
fn a_database_that_cannot_be_opened_is_one_clear_message() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().to_str().unwrap();
    let ended = fizzwright(
        &["serve", "--listen", "127.0.0.1:0", "--database", path],
        b"",
    );
    assert_eq!(ended.code, Some(1));
    assert!(ended.err.contains("a directory was found"), "{}", ended.err);
    let text = dir.path().join("notes.txt");
    std::fs::write(&text, "this is not a database, it is a text of some length").unwrap();
    let path = text.to_str().unwrap();
    let ended = fizzwright(
        &["serve", "--listen", "127.0.0.1:0", "--database", path],
        b"",
    );
    assert_eq!(ended.code, Some(1));
    assert!(ended.err.contains("notes.txt"), "{}", ended.err);
}

#[test]
fn a_port_that_is_taken_is_one_clear_message() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("x.sqlite");
    let ended = fizzwright(
        &[
            "serve",
            "--listen",
            &address,
            "--database",
            file.to_str().unwrap(),
        ],
        b"",
    );
    assert_eq!(ended.code, Some(1));
    assert!(
        ended.err.contains(&format!("--listen {address}")),
        "{}",
        ended.err
    );
}
