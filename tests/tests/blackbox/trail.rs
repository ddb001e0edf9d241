//! The audit trail of those who come in, go out, or are refused.

use reqwest::Method;
use serde_json::{Value, json};
use tests::Server;

const PASSWORD: &str = "four words, well chosen";

fn sign_in(server: &Server, name: &str, password: &str) -> tests::Reply {
    let body = json!({ "name": name, "password": password });
    server.send(server.stranger(Method::POST, "/v1/session").json(&body))
}

/// Entries of the trail about an operation, once there are as many as wanted.
fn entries(server: &Server, operation: &str, wanted: usize) -> Vec<Value> {
    let about = |trail: &Value| -> Vec<Value> {
        let all = trail["entries"].as_array().unwrap().iter();
        let all = all.filter(|entry| entry["operation"] == operation);
        all.cloned().collect()
    };
    let trail = server.poll("/v1/audit?limit=500", |trail| about(trail).len() >= wanted);
    about(&trail)
}

#[test]
fn who_comes_in_and_goes_out_is_in_the_trail() {
    let server = Server::empty();
    let person = json!({ "name": "Ines", "password": PASSWORD, "scopes": ["read"] });
    let person = server.post("/v1/people", &person).expect(201);
    let reply = sign_in(&server, "Ines", PASSWORD);
    let csrf = reply.ok()["csrf_token"].as_str().unwrap().to_owned();
    let cookie = reply
        .header("set-cookie")
        .split(';')
        .next()
        .unwrap()
        .to_owned();
    let out = server
        .stranger(Method::DELETE, "/v1/session")
        .header("Cookie", cookie)
        .header("X-CSRF-Token", csrf);
    assert_eq!(server.send(out).status, 204);
    for operation in ["sign_in", "sign_out"] {
        let [entry]: [Value; 1] = entries(&server, operation, 1).try_into().unwrap();
        assert_eq!(entry["who"]["id"], person["id"], "{entry}");
        assert_eq!(entry["who"]["kind"], "person");
        assert_eq!(
            (&entry["outcome"], &entry["times"]),
            (&json!("done"), &json!(1))
        );
    }
}

#[test]
fn who_does_not_get_in_is_in_the_trail_and_so_is_as_whom() {
    let server = Server::empty();
    let person = json!({ "name": "Ines", "password": PASSWORD, "scopes": ["read"] });
    let person = server.post("/v1/people", &person).expect(201);
    assert_eq!(sign_in(&server, "Ines", "some other words").status, 401);
    // A password that was typed where the name belongs is not written down.
    assert_eq!(sign_in(&server, "my secret words", "Ines").status, 401);
    let failed = entries(&server, "sign_in", 2);
    for entry in &failed {
        assert_eq!(entry["who"]["kind"], "stranger", "{entry}");
        assert_eq!(entry["who"]["id"], "127.0.0.1");
        assert_eq!(
            (&entry["outcome"], &entry["why"]),
            (&json!("refused"), &json!("bad_sign_in"))
        );
        assert!(!entry.to_string().contains("secret words"), "{entry}");
    }
    let hers = format!("/v1/people/{}", person["id"].as_str().unwrap());
    assert!(
        failed.iter().any(|entry| entry["path"] == hers),
        "{failed:?}"
    );
}

#[test]
fn what_somebody_may_not_do_is_in_the_trail() {
    let server = Server::empty();
    let body = json!({ "name": "till", "scopes": ["read"] });
    let key = server.post("/v1/keys", &body).expect(201);
    let key = key["key"].as_str().unwrap();
    let asked = server.request_as(key, Method::GET, "/v1/people");
    let _ = server.send(asked).problem(403, "forbidden");
    let [entry]: [Value; 1] = entries(&server, "list_people", 1).try_into().unwrap();
    assert_eq!(entry["who"]["name"], "till");
    assert_eq!(
        (&entry["outcome"], &entry["why"]),
        (&json!("refused"), &json!("forbidden"))
    );
    assert_eq!(
        (&entry["method"], &entry["path"]),
        (&json!("GET"), &json!("/v1/people"))
    );
}

#[test]
fn a_stranger_who_keeps_trying_does_not_fill_the_trail() {
    let server = Server::empty();
    let wrong = server.key().replace('a', "b").replace('0', "1");
    for _ in 0..100 {
        let asked = server.request_as(&wrong, Method::GET, "/v1/sites");
        let _ = server.send(asked).problem(401, "unauthenticated");
    }
    // Who shows nothing at all is not noted.
    assert_eq!(
        server.send(server.stranger(Method::GET, "/v1/keys")).status,
        401
    );
    let noted = entries(&server, "list_sites", 1);
    // One at once, and one with the rest for each minute that ends meanwhile.
    assert!(noted.len() < 10, "{noted:?}");
    assert_eq!(noted[0]["why"], "unauthenticated");
    let trail = server.get("/v1/audit?limit=500").ok();
    let keys = trail["entries"].as_array().unwrap().iter();
    let keys = keys.filter(|entry| entry["operation"] == "list_keys");
    assert_eq!(keys.count(), 0);
}

#[test]
fn what_was_counted_is_written_when_the_service_stops() {
    let mut server = Server::empty();
    for _ in 0..9 {
        let asked = server.request_as("fizz", Method::GET, "/v1/sites");
        let _ = server.send(asked).problem(401, "unauthenticated");
    }
    let _ = entries(&server, "list_sites", 1);
    server.stop_and_restart();
    let noted = entries(&server, "list_sites", 2);
    let times: i64 = noted
        .iter()
        .map(|entry| entry["times"].as_i64().unwrap())
        .sum();
    assert_eq!(times, 9, "{noted:?}");
}
