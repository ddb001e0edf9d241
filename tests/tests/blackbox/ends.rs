//! Nothing lasts longer than whoever made it.

use chrono::{DateTime, Duration, Utc};
use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server, demo};

fn post_as(server: &Server, key: &str, path: &str, body: &Value) -> Reply {
    server.send(server.request_as(key, Method::POST, path).json(body))
}

fn instant(value: &Value) -> DateTime<Utc> {
    value.as_str().unwrap().parse().unwrap()
}

/// A key that may do everything and ends, with when.
fn ending(server: &Server) -> (String, DateTime<Utc>) {
    let end = Utc::now() + Duration::hours(1);
    let body =
        json!({ "name": "for an hour", "scopes": ["admin"], "expires_at": end.to_rfc3339() });
    let made = server.post("/v1/keys", &body).expect(201);
    (
        made["key"].as_str().unwrap().to_owned(),
        instant(&made["expires_at"]),
    )
}

#[test]
fn a_key_that_ends_makes_none_that_lasts_longer() {
    let server = Server::empty();
    let (key, end) = ending(&server);
    let till = json!({ "name": "till", "scopes": ["read"] });
    let made = post_as(&server, &key, "/v1/keys", &till).expect(201);
    assert_eq!(instant(&made["expires_at"]), end);
    let until = |at: DateTime<Utc>| json!({ "name": "till", "scopes": ["read"], "expires_at": at.to_rfc3339() });
    let sooner = end - Duration::minutes(1);
    let made = post_as(&server, &key, "/v1/keys", &until(sooner)).expect(201);
    assert!(instant(&made["expires_at"]) <= end);
    let later = until(end + Duration::minutes(1));
    let _ = post_as(&server, &key, "/v1/keys", &later).problem(403, "forbidden");
    // Nor does one that was made by one that was made by it.
    let admin = json!({ "name": "second", "scopes": ["admin"] });
    let second = post_as(&server, &key, "/v1/keys", &admin).expect(201);
    let second = second["key"].as_str().unwrap();
    let third = post_as(&server, second, "/v1/keys", &till).expect(201);
    assert_eq!(instant(&third["expires_at"]), end);
    // A key without an end makes keys without one, as ever.
    let made = server.post("/v1/keys", &till).expect(201);
    assert!(made.get("expires_at").is_none(), "{made}");
}

#[test]
fn a_key_that_ends_adds_people_who_end_with_it_and_gives_no_lasting_password() {
    let server = Server::empty();
    let (key, end) = ending(&server);
    let person = |name: &str| json!({ "name": name, "password": "four words, well chosen", "scopes": ["admin"] });
    let made = post_as(&server, &key, "/v1/people", &person("Ines")).expect(201);
    assert_eq!(instant(&made["ends_at"]), end);
    let lasting = server.post("/v1/people", &person("Ida")).expect(201);
    assert!(lasting.get("ends_at").is_none(), "{lasting}");
    let change = json!({ "password": "four others, as good" });
    let patch = |id: &Value| {
        let path = format!("/v1/people/{}", id.as_str().unwrap());
        let asked = server.request_as(&key, Method::PATCH, &path).json(&change);
        server.send(asked)
    };
    let _ = patch(&lasting["id"]).problem(403, "forbidden");
    assert_eq!(patch(&made["id"]).status, 200);
    // Who is signed in makes no more than they are themselves.
    let name = json!({ "name": "Ines", "password": "four others, as good" });
    let signed_in = server.send(server.stranger(Method::POST, "/v1/session").json(&name));
    let cookie = signed_in
        .header("set-cookie")
        .split(';')
        .next()
        .unwrap()
        .to_owned();
    let csrf = signed_in.ok()["csrf_token"].as_str().unwrap().to_owned();
    let asked = server
        .stranger(Method::POST, "/v1/keys")
        .header("Cookie", cookie)
        .header("X-CSRF-Token", csrf)
        .json(&json!({ "name": "hers", "scopes": ["read"] }));
    let hers = server.send(asked).expect(201);
    assert_eq!(instant(&hers["expires_at"]), end);
}

/// The status of what a stranger finds at a path, once it is as wanted.
fn becomes(server: &Server, path: &str, wanted: u16) {
    let begun = std::time::Instant::now();
    loop {
        let found = server.send(server.stranger(Method::GET, path)).status;
        if found == wanted {
            return;
        }
        let waited = begun.elapsed();
        assert!(
            waited < std::time::Duration::from_secs(120),
            "{path}: {found}"
        );
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
}

#[test]
fn webhooks_and_feeds_end_with_the_key_that_made_them_and_can_be_taken_over() {
    let server = Server::empty();
    let site = demo::scenario()["site"].clone();
    let _ = server.post("/v1/sites", &site).expect(201);
    let body = json!({ "name": "office", "scopes": ["admin"] });
    let office = server.post("/v1/keys", &body).expect(201);
    let key = office["key"].as_str().unwrap();
    let calendars = format!("{}/calendars", demo::SITE);
    let feed = post_as(&server, key, &calendars, &json!({})).expect(201);
    let feed = feed["path"].as_str().unwrap();
    let ours = server.post(&calendars, &json!({})).expect(201);
    let hook = json!({ "url": "https://till.example/events" });
    let made = post_as(&server, key, "/v1/webhooks", &hook).expect(201);
    let path = format!("/v1/webhooks/{}", made["id"].as_str().unwrap());
    let lasting = server.post("/v1/webhooks", &hook).expect(201);
    becomes(&server, feed, 200);
    assert_eq!(server.get(&path).ok()["enabled"], true);
    let key_path = format!("/v1/keys/{}", office["id"].as_str().unwrap());
    assert_eq!(server.delete(&key_path).status, 204);
    becomes(&server, feed, 404);
    let ended = server.get(&path).ok();
    assert_eq!(ended["enabled"], false, "{ended}");
    assert!(
        ended["disabled_why"]
            .as_str()
            .unwrap()
            .contains("has ended"),
        "{ended}"
    );
    let taken_over = server.put(&path, &hook).ok();
    assert_eq!(taken_over["enabled"], true, "{taken_over}");
    // What others made goes on.
    becomes(&server, ours["path"].as_str().unwrap(), 200);
    let other = format!("/v1/webhooks/{}", lasting["id"].as_str().unwrap());
    assert_eq!(server.get(&other).ok()["enabled"], true);
}

#[test]
fn a_feed_ends_when_the_key_that_made_it_runs_out() {
    let server = Server::empty();
    let site = demo::scenario()["site"].clone();
    let _ = server.post("/v1/sites", &site).expect(201);
    let end = (Utc::now() + Duration::seconds(4)).to_rfc3339();
    let body = json!({ "name": "for a moment", "scopes": ["plan"], "expires_at": end });
    let made = server.post("/v1/keys", &body).expect(201);
    let calendars = format!("{}/calendars", demo::SITE);
    let feed = post_as(
        &server,
        made["key"].as_str().unwrap(),
        &calendars,
        &json!({}),
    );
    // On a machine that is too slow for this the key has ended already.
    if feed.status == 201 {
        becomes(&server, feed.json()["path"].as_str().unwrap(), 404);
    }
}

#[test]
fn a_feed_ends_when_the_person_who_made_it_is_gone() {
    let server = Server::empty();
    let site = demo::scenario()["site"].clone();
    let _ = server.post("/v1/sites", &site).expect(201);
    let ines = json!({ "name": "Ines", "password": "four words, well chosen", "scopes": ["plan"] });
    let ines = server.post("/v1/people", &ines).expect(201);
    let name = json!({ "name": "Ines", "password": "four words, well chosen" });
    let signed_in = server.send(server.stranger(Method::POST, "/v1/session").json(&name));
    let cookie = signed_in
        .header("set-cookie")
        .split(';')
        .next()
        .unwrap()
        .to_owned();
    let csrf = signed_in.ok()["csrf_token"].as_str().unwrap().to_owned();
    let asked = server
        .stranger(Method::POST, &format!("{}/calendars", demo::SITE))
        .header("Cookie", cookie)
        .header("X-CSRF-Token", csrf)
        .json(&json!({}));
    let feed = server.send(asked).expect(201);
    let feed = feed["path"].as_str().unwrap();
    becomes(&server, feed, 200);
    let path = format!("/v1/people/{}", ines["id"].as_str().unwrap());
    let less = server
        .request(Method::PATCH, &path)
        .json(&json!({ "scopes": ["read"] }));
    let _ = server.send(less).ok();
    becomes(&server, feed, 404);
    assert_eq!(server.delete(&path).status, 204);
    becomes(&server, feed, 404);
}
