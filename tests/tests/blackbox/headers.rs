//! What every answer tells browsers, whoever gives it, and what is kept nowhere.

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server, demo};

const EVERYWHERE: [(&str, &str); 3] = [
    ("x-content-type-options", "nosniff"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
];

fn check(path: &str, reply: &Reply) {
    for (name, value) in EVERYWHERE {
        assert_eq!(reply.header(name), value, "{path}");
    }
    let referrer = reply.header("referrer-policy");
    assert!(
        ["no-referrer", "same-origin"].contains(&referrer),
        "{path}: {referrer}"
    );
    let policy = reply.header("content-security-policy");
    for part in [
        "default-src 'none'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    ] {
        assert!(policy.contains(part), "{path}: {policy}");
    }
    assert!(!policy.contains("script-src 'unsafe"), "{path}: {policy}");
    assert!(
        !reply.headers.contains_key("strict-transport-security"),
        "{path}"
    );
}

#[test]
fn every_answer_says_the_same_to_browsers() {
    let server = demo::fixed_week();
    let feed = server.post(&format!("{}/calendars", demo::SITE), &json!({}));
    let address = feed.expect(201)["path"].as_str().unwrap().to_owned();
    for path in [
        "/",
        "/healthz",
        "/metrics",
        "/openapi.json",
        "/docs",
        "/docs/",
        "/docs/swagger-ui-bundle.js",
        "/docs/nothing",
        "/assets/nothing",
        "/nothing",
        "/v1//sites",
        "/v1/sites",
        "/v1/sites/nowhere",
        "/v1/sites/harbour-bar/sheet",
        "/v1/sites/harbour-bar/demand.csv",
        "/v1/problems",
        &address,
        "/board",
        "/board/sign-in",
        "/board/nothing/at/all",
        "/board/harbour-bar/today",
    ] {
        check(path, &server.get(path));
        check(path, &server.send(server.stranger(Method::GET, path)));
    }
    check("POST", &server.post("/v1/sites", &Value::Null));
    check("DELETE", &server.delete("/v1/sites"));
}

#[test]
fn tls_alone_is_asked_for_where_it_is_spoken() {
    let server = Server::start(&["--secure-cookies"]);
    for path in ["/board/sign-in", "/v1/sites", "/docs/"] {
        let said = server
            .get(path)
            .header("strict-transport-security")
            .to_owned();
        assert!(said.starts_with("max-age="), "{path}: {said}");
    }
}

#[test]
fn pages_elsewhere_may_still_ask_where_the_settings_say_so() {
    let server = Server::start(&["--allowed-origin", "https://board.example"]);
    let request = server.request(Method::GET, "/v1/sites");
    let reply = server.send(request.header("Origin", "https://board.example"));
    assert_eq!(reply.status, 200);
    assert_eq!(
        reply.header("access-control-allow-origin"),
        "https://board.example"
    );
    check("another origin", &reply);
}

fn kept_nowhere(what: &str, reply: &Reply) {
    assert!(reply.status < 300, "{what}: {}", reply.text);
    let rule = reply.header("cache-control");
    assert!(rule.contains("no-store"), "{what}: {rule}");
}

#[test]
fn an_answer_with_a_secret_is_kept_nowhere() {
    let server = demo::fixed_week();
    let key = json!({ "name": "till", "scopes": ["read"] });
    kept_nowhere("a key", &server.post("/v1/keys", &key));
    let again = server.request(Method::POST, "/v1/sites/harbour-bar/calendars");
    let again = again.header("Idempotency-Key", "feed-1");
    let ask = || server.send(again.try_clone().unwrap().json(&json!({})));
    kept_nowhere("a calendar's address", &ask());
    let told = ask();
    let _ = told.problem(409, "secret_shown");
    assert!(told.header("cache-control").contains("no-store"));
    let hook = json!({ "url": "https://hooks.example/fizz" });
    let hook = server.post("/v1/webhooks", &hook);
    kept_nowhere("a webhook's secret", &hook);
    let hook = hook.header("location").to_owned();
    kept_nowhere(
        "another",
        &server.post(&format!("{hook}/secret"), &json!({})),
    );
    let person = json!({ "name": "Ines", "password": "a long enough one", "scopes": ["read"] });
    kept_nowhere("a person", &server.post("/v1/people", &person));
    let body = json!({ "name": "Ines", "password": "a long enough one" });
    let session = server.send(server.stranger(Method::POST, "/v1/session").json(&body));
    kept_nowhere("a session", &session);
    for path in [
        "/v1/keys",
        "/v1/people",
        "/v1/session",
        "/v1/webhooks",
        "/board/harbour-bar/admin",
    ] {
        kept_nowhere(path, &server.get(path));
    }
}
