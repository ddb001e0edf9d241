//! A key that is limited to one site never sees another's: events, streams, questions, webhooks.

use std::io::{BufRead, BufReader};

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server, demo};

/// A server with the demo's week and another site, and a key for each that may do everything there.
fn two_sites() -> (Server, String, String) {
    let server = demo::fixed_week();
    let mut other = demo::scenario()["site"].clone();
    other["id"] = json!("long-bar");
    let _ = server.post("/v1/sites", &other).expect(201);
    let setup = demo::setup_of(&demo::scenario());
    let _ = server.put("/v1/sites/long-bar/setup", &setup).expect(201);
    let key = |site: &str| {
        let body = json!({ "name": site, "scopes": ["admin"], "sites": [site] });
        let made = server.post("/v1/keys", &body).expect(201);
        made["key"].as_str().unwrap().to_owned()
    };
    let (ours, theirs) = (key("harbour-bar"), key("long-bar"));
    (server, ours, theirs)
}

fn ask(server: &Server, key: &str, method: Method, path: &str, body: &Value) -> Reply {
    let request = server.request_as(key, method.clone(), path);
    server.send(if method == Method::GET {
        request
    } else {
        request.json(body)
    })
}

fn get(server: &Server, key: &str, path: &str) -> Reply {
    ask(server, key, Method::GET, path, &Value::Null)
}

#[test]
fn events_of_another_site_are_not_told() {
    let (server, _, theirs) = two_sites();
    for path in ["/v1/events", "/v1/events/stream?after=0"] {
        let _ = get(&server, &theirs, path).problem(403, "forbidden");
    }
    for path in [
        "/v1/events?site=harbour-bar",
        "/v1/events/stream?site=harbour-bar",
        "/v1/events?site=nowhere",
    ] {
        let _ = get(&server, &theirs, path).problem(404, "unknown_site");
    }
    let own = get(&server, &theirs, "/v1/events?site=long-bar").ok();
    let events = own["events"].as_array().unwrap();
    assert_eq!(events.len(), 2);
    assert!(events.iter().all(|event| event["site"] == "long-bar"));
}

#[test]
fn a_stream_tells_of_the_own_site_only() {
    let (server, _, theirs) = two_sites();
    let path = "/v1/events/stream?site=long-bar&after=0";
    let request = server.request_as(&theirs, Method::GET, path);
    let response = request.send().unwrap();
    assert_eq!(response.status().as_u16(), 200);
    // Something happens at both while it is followed, the other site's first.
    let line = json!({ "product": "tonic", "due": "2026-06-05T17:00:00+01:00", "litres": 5.0,
        "priority": 3, "kind": "booking" });
    for site in ["harbour-bar", "long-bar"] {
        let path = format!("/v1/sites/{site}/demand/extra");
        let _ = server.put(&path, &line).expect(201);
    }
    let lines = BufReader::new(response).lines().map(Result::unwrap);
    let data = lines.filter_map(|line| Some(line.strip_prefix("data: ")?.to_owned()));
    let told: Vec<Value> = data
        .take(3)
        .map(|text| serde_json::from_str(&text).unwrap())
        .collect();
    let kinds: Vec<&Value> = told.iter().map(|event| &event["type"]).collect();
    assert_eq!(kinds, ["site.created", "setup.changed", "demand.changed"]);
    assert!(told.iter().all(|event| event["site"] == "long-bar"));
}

#[test]
fn questions_and_commitments_of_another_site_are_not_found() {
    let (server, ours, theirs) = two_sites();
    let what_if = json!({ "start": "2026-06-01T06:00:00+01:00", "days": 1, "grid_minutes": 60,
        "changes": [{ "label": "No ice", "patch": { "setup": { "ice": { "purchase": null } } } }] });
    let commitment = json!({ "start": "2026-06-01T06:00:00+01:00", "days": 1, "grid_minutes": 60,
        "product": "tonic", "kegs": 1, "due": "2026-06-01T20:00:00+01:00" });
    for (ask_at, body) in [("what-if", what_if), ("commitments", commitment)] {
        let path = format!("{}/{ask_at}", demo::SITE);
        let _ = ask(&server, &theirs, Method::POST, &path, &body).problem(404, "unknown_site");
        let asked = ask(&server, &ours, Method::POST, &path, &body);
        let _ = asked.expect(202);
        let path = asked.header("location").to_owned();
        assert_eq!(get(&server, &ours, &path).status, 200);
        let missing = get(&server, &theirs, &path);
        assert_eq!(missing.status, 404, "{}", missing.text);
        if ask_at == "commitments" {
            for deed in ["hold", "accept", "release"] {
                let path = format!("{path}/{deed}");
                let reply = ask(&server, &theirs, Method::POST, &path, &json!({}));
                assert_eq!(reply.status, 404, "{}", reply.text);
            }
        }
    }
}

#[test]
fn webhooks_are_closed_to_a_key_of_one_site() {
    let (server, _, theirs) = two_sites();
    let hook = json!({ "url": "https://hooks.example/fizz", "site": "harbour-bar" });
    let made = server.post("/v1/webhooks", &hook);
    let _ = made.expect(201);
    let path = made.header("location").to_owned();
    for path in ["/v1/webhooks", &path, &format!("{path}/deliveries")] {
        let _ = get(&server, &theirs, path).problem(403, "forbidden");
    }
    let own = json!({ "url": "https://hooks.example/fizz", "site": "long-bar" });
    for (method, path) in [
        (Method::POST, "/v1/webhooks".to_owned()),
        (Method::PUT, path.clone()),
        (Method::DELETE, path.clone()),
        (Method::POST, format!("{path}/secret")),
    ] {
        let _ = ask(&server, &theirs, method, &path, &own).problem(403, "forbidden");
    }
}

#[test]
fn stock_calendars_and_the_floor_of_another_site_are_not_found() {
    let (server, ours, theirs) = two_sites();
    for rest in [
        "stock/kegs",
        "stock/entries",
        "codes",
        "calendars",
        "readings",
        "work",
        "published",
        "publications",
        "materials",
        "sheet",
        "calibration",
        "demand.csv",
    ] {
        let path = format!("{}/{rest}", demo::SITE);
        let _ = get(&server, &theirs, &path).problem(404, "unknown_site");
        let own = get(&server, &ours, &path);
        assert!([200, 404].contains(&own.status), "{path}: {}", own.text);
        assert!(!own.text.contains("unknown_site"), "{path}: {}", own.text);
    }
}
