//! Changes on condition, for what has no revision: a lost update is refused.

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server, demo};

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

/// A change on a condition that does not hold, with a body that has a fault no schema can show.
fn faulty_bodies(server: &Server) -> Vec<(&'static str, Method, String, Value)> {
    let site = demo::SITE;
    let scenario = demo::scenario();
    let person = json!({ "name": "Ines", "password": "four words, well chosen",
        "scopes": ["floor"] });
    let person = server.post("/v1/people", &person);
    let hook = server.post(
        "/v1/webhooks",
        &json!({ "url": "https://hooks.example/fizz" }),
    );
    let (_, _) = (person.expect(201), hook.expect(201));
    let mut named = scenario["site"].clone();
    named["id"] = json!("another-bar");
    let mut setup = demo::setup_of(&scenario);
    setup["setup"]["products"][1]["id"] = setup["setup"]["products"][0]["id"].clone();
    let mut line = scenario["demand"][0].clone();
    line.as_object_mut().unwrap().remove("id");
    line["note"] = json!("x".repeat(201));
    let codes = json!({ "products": [{ "product": "no-such", "gtin": "4006381333931" }] });
    vec![
        (
            "change_person",
            Method::PATCH,
            person.header("location").to_owned(),
            json!({ "scopes": [] }),
        ),
        ("replace_site", Method::PUT, site.to_owned(), named),
        (
            "accept_calibration",
            Method::POST,
            format!("{site}/calibration/accept"),
            json!({ "parameters": ["pots/none/efficiency"], "by": "Ines" }),
        ),
        ("replace_codes", Method::PUT, format!("{site}/codes"), codes),
        (
            "put_demand_line",
            Method::PUT,
            format!("{site}/demand/new-line"),
            line,
        ),
        (
            "patch_setup",
            Method::PATCH,
            format!("{site}/setup"),
            json!({ "policy": { "purges": 4000 } }),
        ),
        ("replace_setup", Method::PUT, format!("{site}/setup"), setup),
        (
            "replace_webhook",
            Method::PUT,
            hook.header("location").to_owned(),
            json!({ "url": "ftp://hooks.example/fizz" }),
        ),
    ]
}

#[test]
fn what_a_request_says_is_looked_at_before_what_it_is_compared_with() {
    let server = demo::fixed_week();
    let faulty = faulty_bodies(&server);
    for (operation, method, path, body) in &faulty {
        for tag in ["\"0\"", "*"] {
            let reply = sent(&server, method.clone(), path, tag, Some(body));
            let found = (reply.status, &reply.text);
            assert!(
                [400, 422].contains(&reply.status),
                "{operation} {tag}: {found:?}"
            );
        }
    }
    // Each operation that takes a body on a condition is here.
    let contract = tests::contract::of(&server);
    let mut tried: Vec<&str> = faulty.iter().map(|(operation, ..)| *operation).collect();
    let mut there = on_condition(&contract);
    tried.sort_unstable();
    there.sort_unstable();
    assert_eq!(tried, there);
}

/// The operations of a contract that take a body and If-Match.
fn on_condition(contract: &Value) -> Vec<&str> {
    let paths = contract["paths"].as_object().unwrap().values();
    let operations = paths.flat_map(|path| path.as_object().unwrap().values());
    let conditional = operations.filter(|operation| {
        let parameters = operation["parameters"].as_array();
        let mut names = parameters.into_iter().flatten().map(|p| &p["name"]);
        operation.get("requestBody").is_some() && names.any(|name| name == "If-Match")
    });
    let names = conditional.map(|operation| operation["operationId"].as_str().unwrap());
    names.collect()
}
