//! What is secret is in no log, however much is logged.

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server, demo};

fn text(value: &Value) -> String {
    value.as_str().expect("a text").to_owned()
}

/// Signs in, and gives the session and its second secret.
fn signed_in(server: &Server, password: &str) -> (String, String) {
    let person = json!({ "name": "Ines", "password": password, "scopes": ["admin"] });
    let _ = server.post("/v1/people", &person).expect(201);
    let body = json!({ "name": "Ines", "password": password });
    let reply = server.send(server.stranger(Method::POST, "/v1/session").json(&body));
    let cookie = reply.header("set-cookie").split(';').next().unwrap();
    let (_, session) = cookie.split_once('=').unwrap();
    (session.to_owned(), text(&reply.ok()["csrf_token"]))
}

fn ask(server: &Server, path: &str) -> Reply {
    server.send(server.stranger(Method::GET, path))
}

#[test]
fn no_secret_is_logged() {
    let (server, log) = Server::logging_everything();
    demo::store(&server);
    let feed = server.post(&format!("{}/calendars", demo::SITE), &json!({}));
    let address = text(&feed.expect(201)["path"]);
    let (_, secret) = address.rsplit_once('/').unwrap();
    let secret = secret.strip_suffix(".ics").unwrap();
    assert_eq!(ask(&server, &address).status, 200);
    // Mistyped, it is as secret.
    for wrong in [
        format!("/v1/calendars/{secret}"),
        format!("/v1/calendar/{secret}.ics"),
        format!("/{secret}"),
        format!("/v1/calendars//{secret}.ics"),
        format!("/v1/calendars/{secret}.ics/{secret}/{secret}"),
    ] {
        assert_eq!(ask(&server, &wrong).status, 404, "{wrong}");
    }
    let password = "a password nobody else has";
    let (session, csrf) = signed_in(&server, password);
    let form = server
        .stranger(Method::POST, "/board/sign-in")
        .header("Content-Type", "application/x-www-form-urlencoded")
        .body(format!("name=Ines&password={}", password.replace(' ', "+")));
    assert_eq!(server.send(form).status, 303);
    let hook = json!({ "url": "https://hooks.example/fizz" });
    let hook = server.post("/v1/webhooks", &hook).expect(201);
    let key = server.post("/v1/keys", &json!({ "name": "till", "scopes": ["read"] }));
    let secrets = [
        secret.to_owned(),
        password.to_owned(),
        password.replace(' ', "+"),
        session,
        csrf,
        text(&hook["secret"]),
        text(&key.expect(201)["key"]),
        server.key().to_owned(),
    ];
    // What was answered stands in the log before it is read.
    let last = server
        .request(Method::GET, "/v1/sites")
        .header("X-Request-Id", "the-last");
    assert_eq!(server.send(last).status, 200);
    let mut logged = String::new();
    for _ in 0..600 {
        logged = std::fs::read_to_string(&log).unwrap();
        if logged
            .lines()
            .any(|line| line.contains("the-last") && line.contains("answered"))
        {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    for secret in secrets {
        let found = logged.lines().find(|line| line.contains(&secret));
        assert_eq!(found, None, "a secret is logged");
    }
    for told in [
        "/v1/calendars/{secret}.ics",
        "/v1/calendars/*",
        "the-last",
        "/v1/keys",
    ] {
        assert!(logged.contains(told), "{told} is not logged");
    }
}
