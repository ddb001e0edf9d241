//! Secrets are shown once, and are in nothing that is kept.

use std::path::Path;

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server, demo};

fn named(server: &Server, name: &str, path: &str, body: &Value) -> Reply {
    let request = server.request(Method::POST, path).json(body);
    server.send(request.header("Idempotency-Key", name))
}

/// Everything the database has on disk.
fn on_disk(server: &Server) -> Vec<u8> {
    let database = Path::new(server.database());
    let name = database.file_name().unwrap().to_str().unwrap();
    let files = std::fs::read_dir(server.dir()).unwrap();
    let files = files.map(|entry| entry.unwrap().path());
    let ours = files.filter(|path| {
        path.file_name()
            .unwrap()
            .to_str()
            .unwrap()
            .starts_with(name)
    });
    ours.flat_map(|path| std::fs::read(path).unwrap()).collect()
}

#[test]
fn a_repeat_is_told_that_the_secret_was_shown_and_nothing_is_done_twice() {
    let server = Server::empty();
    let site = demo::scenario()["site"].clone();
    let _ = server.post("/v1/sites", &site).expect(201);
    let hook = json!({ "url": "https://till.example/events" });
    let calendars = format!("{}/calendars", demo::SITE);
    let key = json!({ "name": "till", "scopes": ["read"] });
    let shown = |path: &str, body: &Value, secret: &str| {
        let first = named(&server, path, path, body);
        assert!((200..300).contains(&first.status), "{}", first.text);
        assert_eq!(first.header("cache-control"), "no-store", "{path}");
        let again = named(&server, path, path, body);
        let _ = again.problem(409, "secret_shown");
        let other = json!({ "name": "other" });
        let _ = named(&server, path, path, &other).problem(422, "repeat_differs");
        let made = first.json();
        (made[secret].as_str().unwrap().to_owned(), made)
    };
    let (key, _) = shown("/v1/keys", &key, "key");
    let (address, _) = shown(&calendars, &json!({}), "path");
    let (signing, made) = shown("/v1/webhooks", &hook, "secret");
    let renew = format!("/v1/webhooks/{}/secret", made["id"].as_str().unwrap());
    let (renewed, _) = shown(&renew, &json!({}), "secret");
    let count = |path: &str, list: &str| server.get(path).ok()[list].as_array().unwrap().len();
    assert_eq!(count("/v1/keys", "keys"), 2);
    assert_eq!(count("/v1/webhooks", "webhooks"), 1);
    assert_eq!(count(&calendars, "calendars"), 1);
    // They work, and are nowhere on the disk; but for the one deliveries are signed with.
    let with_it = server.request_as(&key, Method::GET, "/v1/sites");
    assert_eq!(server.send(with_it).status, 200);
    assert_ne!(signing, renewed);
    if Path::new(server.database()).is_file() {
        let disk = on_disk(&server);
        let there = |secret: &str| {
            disk.windows(secret.len())
                .any(|part| part == secret.as_bytes())
        };
        assert!(there("https://till.example/events"));
        for secret in [&key[18..], &address["/v1/calendars/".len()..][..64]] {
            assert!(!there(secret), "{secret}");
        }
    }
}

#[test]
fn whatever_shows_a_secret_says_what_a_repeat_is_told() {
    let server = Server::empty();
    let contract = tests::contract::of(&server);
    let mut found = 0;
    for (path, item) in contract["paths"].as_object().unwrap() {
        let Some(operation) = item.get("post") else {
            continue;
        };
        let named = operation["parameters"]
            .to_string()
            .contains("Idempotency-Key");
        let responses = operation["responses"].to_string();
        let secret = ["CreatedKey", "WebhookSecret", "CalendarAddress"];
        if named && secret.iter().any(|schema| responses.contains(schema)) {
            found += 1;
            assert!(responses.contains("secret_shown"), "{path}");
        }
    }
    assert_eq!(found, 4);
}
