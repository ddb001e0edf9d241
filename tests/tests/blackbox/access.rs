//! Who may do what: keys, people, sessions, and the trail of what they did.

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server, demo};

fn key(server: &Server, body: &Value) -> String {
    let made = server.post("/v1/keys", body).expect(201);
    made["key"].as_str().unwrap().to_owned()
}

fn scoped(server: &Server, scope: &str) -> String {
    key(server, &json!({ "name": scope, "scopes": [scope] }))
}

fn ask(server: &Server, key: &str, method: Method, path: &str, body: Option<&Value>) -> Reply {
    let request = server.request_as(key, method, path);
    server.send(match body {
        Some(body) => request.json(body),
        None => request,
    })
}

#[test]
fn nothing_is_open_but_health_and_what_is_published_anyway() {
    let server = Server::empty();
    let contract = tests::contract::of(&server);
    for (path, item) in contract["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let open = operation["security"].as_array().unwrap().is_empty();
            let path = path.replace("{site}", "x").replace(['{', '}'], "");
            let method = Method::from_bytes(method.to_uppercase().as_bytes()).unwrap();
            let reply = server.send(server.stranger(method.clone(), &path));
            assert_eq!(reply.status != 401, open, "{method} {path}");
        }
    }
    for path in [
        "/healthz",
        "/readyz",
        "/openapi.json",
        "/docs/",
        "/v1/problems",
    ] {
        assert_eq!(
            server.send(server.stranger(Method::GET, path)).status,
            200,
            "{path}"
        );
    }
    // The board leads whoever it does not know to where people sign in.
    let reply = server.send(server.stranger(Method::GET, "/"));
    assert_eq!((reply.status, reply.header("location")), (303, "/board"));
    let reply = server.send(server.stranger(Method::GET, "/board"));
    assert_eq!(reply.status, 303);
    let to = reply.header("location");
    assert!(to.starts_with("/board/sign-in"), "{to}");
    let reply = server.send(server.stranger(Method::GET, "/v1/sites"));
    let _ = reply.problem(401, "unauthenticated");
    assert!(reply.header("www-authenticate").starts_with("Bearer"));
    assert!(!reply.header("x-request-id").is_empty());
}

#[test]
fn a_key_that_is_wrong_opens_nothing() {
    let server = Server::empty();
    let right = server.key().to_owned();
    let mut other = right.clone();
    let last = other.pop().unwrap();
    other.push(if last == '0' { '1' } else { '0' });
    for wrong in [other.as_str(), "fizz", "", &right.to_uppercase()] {
        let _ = ask(&server, wrong, Method::GET, "/v1/sites", None).problem(401, "unauthenticated");
    }
    let basic = server
        .stranger(Method::GET, "/v1/sites")
        .basic_auth("a", Some("b"));
    let _ = server.send(basic).problem(401, "unauthenticated");
    assert_eq!(
        ask(&server, &right, Method::GET, "/v1/sites", None).status,
        200
    );
}

#[test]
fn each_scope_opens_what_it_says() {
    let server = demo::fixed_week();
    let count = demo::count_of(&demo::scenario());
    let counts = format!("{}/stock/counts", demo::SITE);
    let line = format!("{}/demand/x", demo::SITE);
    let body = json!({
        "product": "tonic",
        "due": "2026-06-05T17:00:00+01:00",
        "litres": 5.0,
        "priority": 3,
        "kind": "booking",
    });
    let person =
        json!({ "name": "Ines", "password": "four words, well chosen", "scopes": ["read"] });
    let calculation = json!({ "target_g_per_l": 7.9, "temperature_c": 2 });
    let asked = [
        ("read", Method::GET, demo::SITE, None),
        (
            "read",
            Method::POST,
            "/v1/calculations/carbonation/pressure",
            Some(&calculation),
        ),
        ("floor", Method::POST, counts.as_str(), Some(&count)),
        ("plan", Method::PUT, line.as_str(), Some(&body)),
        ("admin", Method::GET, "/v1/keys", None),
        ("admin", Method::POST, "/v1/people", Some(&person)),
        ("admin", Method::GET, "/v1/audit", None),
    ];
    let scopes = ["read", "floor", "plan", "admin"];
    let rank = |scope: &str| scopes.iter().position(|s| *s == scope).unwrap();
    for held in scopes {
        let key = scoped(&server, held);
        for (needed, method, path, body) in &asked {
            let reply = ask(&server, &key, method.clone(), path, *body);
            if rank(held) >= rank(needed) {
                assert!(reply.status < 300, "{held} {path}: {}", reply.text);
            } else {
                let problem = reply.problem(403, "forbidden");
                assert!(
                    problem["detail"].as_str().unwrap().contains(needed),
                    "{problem}"
                );
            }
        }
    }
}

#[test]
fn a_key_is_shown_once_listed_and_revoked() {
    let server = Server::empty();
    let made = server
        .post("/v1/keys", &json!({ "name": "Till", "scopes": ["plan"] }))
        .expect(201);
    let (key, id) = (made["key"].as_str().unwrap(), made["id"].as_str().unwrap());
    assert!(key.starts_with(&format!("fizz_{id}_")));
    let listed = server.get("/v1/keys");
    assert!(!listed.text.contains(key));
    assert_eq!(listed.header("cache-control"), "no-store");
    let names: Vec<Value> = listed.ok()["keys"]
        .as_array()
        .unwrap()
        .iter()
        .map(|key| key["name"].clone())
        .collect();
    assert!(names.contains(&json!("Till")) && names.contains(&json!("first key")));
    assert_eq!(
        ask(&server, key, Method::GET, "/v1/sites", None).status,
        200
    );
    assert_eq!(server.delete(&format!("/v1/keys/{id}")).status, 204);
    let _ = ask(&server, key, Method::GET, "/v1/sites", None).problem(401, "unauthenticated");
    let _ = server
        .delete("/v1/keys/000000000000")
        .problem(404, "unknown_key");
    let _ = server.delete("/v1/keys/7").problem(400, "bad_path");
}

#[test]
fn a_key_ends_at_its_time() {
    let server = Server::empty();
    let soon = json!({ "name": "short", "scopes": ["read"], "expires_at": "2020-01-01T00:00:00Z" });
    let problem = server.post("/v1/keys", &soon).problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "expires_at");
    let none = json!({ "name": "none", "scopes": [] });
    let _ = server.post("/v1/keys", &none).problem(422, "invalid");
}

#[test]
fn a_key_limited_to_a_site_sees_nothing_of_others() {
    let server = demo::fixed_week();
    let mut other = demo::scenario()["site"].clone();
    other["id"] = json!("long-bar");
    let _ = server.post("/v1/sites", &other).expect(201);
    let plan = server
        .post(&format!("{}/plans", demo::SITE), &demo::week())
        .expect(202);
    let plan = format!("/v1/plans/{}", plan["id"].as_str().unwrap());
    let limited = |scope: &str, site: &str| {
        key(
            &server,
            &json!({ "name": site, "scopes": [scope], "sites": [site] }),
        )
    };
    let (ours, theirs) = (
        limited("admin", "harbour-bar"),
        limited("admin", "long-bar"),
    );
    let get = |key: &str, path: &str| ask(&server, key, Method::GET, path, None);
    for path in [demo::SITE, &plan, &format!("{plan}/scenario")] {
        assert_eq!(get(&ours, path).status, 200, "{path}");
    }
    let stock = format!("{}/stock", demo::SITE);
    for path in [demo::SITE, stock.as_str()] {
        let _ = get(&theirs, path).problem(404, "unknown_site");
    }
    let missing = "/v1/plans/01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d";
    for path in [&plan, missing] {
        let _ = get(&theirs, path).problem(404, "unknown_plan");
    }
    let cancel = ask(
        &server,
        &theirs,
        Method::POST,
        &format!("{plan}/cancel"),
        None,
    );
    let _ = cancel.problem(404, "unknown_plan");
    let sites = get(&theirs, "/v1/sites").ok();
    assert_eq!(sites["sites"].as_array().unwrap().len(), 1);
    let create = ask(&server, &theirs, Method::POST, "/v1/sites", Some(&other));
    let _ = create.problem(403, "forbidden");
    // They may make keys, but none that opens more than theirs does.
    let wide = json!({ "name": "wide", "scopes": ["read"] });
    let _ = ask(&server, &theirs, Method::POST, "/v1/keys", Some(&wide)).problem(403, "forbidden");
    let listed = get(&theirs, "/v1/keys").ok();
    assert_eq!(listed["keys"].as_array().unwrap().len(), 1);
    let audit = get(&theirs, "/v1/audit").ok();
    assert!(audit["entries"].as_array().unwrap().is_empty(), "{audit}");
    let _ = get(&theirs, "/v1/audit?site=harbour-bar").problem(404, "unknown_site");
}

const PASSWORD: &str = "four words, well chosen";

fn ines(server: &Server) -> Value {
    let body = json!({ "name": "Ines", "password": PASSWORD, "scopes": ["plan"] });
    server.post("/v1/people", &body).expect(201)
}

fn sign_in(server: &Server, name: &str, password: &str) -> Reply {
    let body = json!({ "name": name, "password": password });
    server.send(server.stranger(Method::POST, "/v1/session").json(&body))
}

#[test]
fn a_person_signs_in_works_and_signs_out() {
    let server = demo::fixed_week();
    let person = ines(&server);
    let _ = server
        .post(
            "/v1/people",
            &json!({ "name": "Ines", "password": PASSWORD, "scopes": ["read"] }),
        )
        .problem(409, "person_exists");
    let reply = sign_in(&server, "Ines", PASSWORD);
    let session = reply.ok();
    assert_eq!(session["person"], person);
    let cookie = reply.header("set-cookie").to_owned();
    for part in ["HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=43200"] {
        assert!(cookie.contains(part), "{cookie}");
    }
    let cookie = cookie.split(';').next().unwrap().to_owned();
    let csrf = session["csrf_token"].as_str().unwrap();
    let as_ines =
        |method: Method, path: &str| server.stranger(method, path).header("Cookie", &cookie);
    let who = server.send(as_ines(Method::GET, "/v1/session")).ok();
    assert_eq!(who["name"], "Ines");
    assert_eq!(who["csrf_token"], csrf);
    // Another site can make the browser send the cookie, but not the token.
    let line = format!("{}/demand/fri-tonic", demo::SITE);
    let delete = server.send(as_ines(Method::DELETE, &line));
    let _ = delete.problem(403, "csrf_required");
    let wrong = as_ines(Method::DELETE, &line).header("X-CSRF-Token", "0");
    let _ = server.send(wrong).problem(403, "csrf_required");
    let right = as_ines(Method::DELETE, &line).header("X-CSRF-Token", csrf);
    assert_eq!(server.send(right).status, 204);
    let keys = server.send(as_ines(Method::GET, "/v1/keys"));
    let _ = keys.problem(403, "forbidden");
    let entries = server.get("/v1/audit?limit=500").ok();
    let last = entries["entries"]
        .as_array()
        .unwrap()
        .last()
        .unwrap()
        .clone();
    assert_eq!(last["who"]["name"], "Ines");
    assert_eq!(last["who"]["kind"], "person");
    let out = as_ines(Method::DELETE, "/v1/session").header("X-CSRF-Token", csrf);
    assert_eq!(server.send(out).status, 204);
    let gone = server.send(as_ines(Method::GET, "/v1/session"));
    let _ = gone.problem(401, "unauthenticated");
}

#[test]
fn a_wrong_name_and_a_wrong_password_look_the_same_and_soon_are_too_many() {
    let server = Server::empty();
    let _ = ines(&server);
    let name = sign_in(&server, "Inez", PASSWORD).problem(401, "bad_sign_in");
    let password = sign_in(&server, "Ines", "some other words").problem(401, "bad_sign_in");
    assert_eq!(name, password);
    let refused = (0..12).map(|_| sign_in(&server, "ines", "some other words"));
    let refused: Vec<Reply> = refused.collect();
    let last = refused.last().unwrap();
    let _ = last.problem(429, "too_many_requests");
    assert!(last.header("retry-after").parse::<u64>().unwrap() >= 1);
}

#[test]
fn a_new_password_ends_old_sessions() {
    let server = Server::empty();
    let person = ines(&server);
    let path = format!("/v1/people/{}", person["id"].as_str().unwrap());
    let reply = sign_in(&server, "Ines", PASSWORD);
    let cookie = reply
        .header("set-cookie")
        .split(';')
        .next()
        .unwrap()
        .to_owned();
    let change = json!({ "password": "four others, as good", "scopes": ["floor"] });
    let changed = server
        .send(server.request(Method::PATCH, &path).json(&change))
        .ok();
    assert_eq!(changed["scopes"], json!(["floor"]));
    let gone = server
        .stranger(Method::GET, "/v1/session")
        .header("Cookie", cookie);
    let _ = server.send(gone).problem(401, "unauthenticated");
    let _ = sign_in(&server, "Ines", PASSWORD).problem(401, "bad_sign_in");
    assert_eq!(sign_in(&server, "Ines", "four others, as good").status, 200);
    let _ = server
        .post(
            "/v1/people",
            &json!({ "name": "Ida", "password": "short", "scopes": ["read"] }),
        )
        .problem(422, "invalid");
    assert_eq!(server.delete(&path).status, 204);
    let _ = server.delete(&path).problem(404, "unknown_person");
    let _ = sign_in(&server, "Ines", "four others, as good").problem(401, "bad_sign_in");
}

#[test]
fn every_change_is_in_the_trail_and_nothing_else() {
    let server = demo::fixed_week();
    let before = server.get("/v1/audit").ok();
    let operations: Vec<&str> = before["entries"]
        .as_array()
        .unwrap()
        .iter()
        .map(|entry| entry["operation"].as_str().unwrap())
        .collect();
    assert_eq!(
        operations,
        [
            "create_site",
            "replace_setup",
            "record_stock_count",
            "replace_demand"
        ]
    );
    let _ = server.get(demo::SITE).ok();
    let wrong = json!({ "reference": "x" });
    let movements = format!("{}/stock/movements", demo::SITE);
    let _ = server.post(&movements, &wrong).problem(422, "invalid");
    let line = format!("{}/demand/fri-tonic", demo::SITE);
    let deleting = server
        .request(Method::DELETE, &line)
        .header("X-Request-Id", "the-one");
    assert_eq!(server.send(deleting).status, 204);
    let after = server.get("/v1/audit?after=4").ok();
    let [entry] = after["entries"].as_array().unwrap().as_slice() else {
        panic!("{after}");
    };
    assert_eq!(entry["operation"], "delete_demand_line");
    assert_eq!(entry["method"], "DELETE");
    assert_eq!(entry["path"], line);
    assert_eq!(entry["site"], "harbour-bar");
    assert_eq!(entry["request_id"], "the-one");
    assert_eq!(entry["who"]["name"], "first key");
    let page = server.get("/v1/audit?limit=2").ok();
    assert_eq!(page["next"], 2);
}
