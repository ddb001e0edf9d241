//! Input that cannot be: a clear problem document each time, and nothing stored.

use reqwest::Method;
use serde_json::json;
use tests::{Reply, Server, demo};

const STOCK: &str = "/v1/sites/harbour-bar/stock";

fn sent(server: &Server, path: &str, body: impl Into<Vec<u8>>) -> Reply {
    let request = server.request(Method::POST, path);
    let request = request.header("Content-Type", "application/json");
    server.send(request.body(body.into()))
}

fn movement(at: &str, kg: &str) -> String {
    format!(r#"{{"reference": "odd", "at": "{at}", "change": {{"of": "ice", "kg": {kg}}}}}"#)
}

#[test]
fn what_is_no_json_is_told_and_changes_nothing() {
    let server = demo::fixed_week();
    let moves = format!("{STOCK}/movements");
    let at = "2026-06-02T08:00:00+01:00";
    for body in [
        b"\xff\xfe{".to_vec(),
        br#"{"reference": "a\xc3"#.to_vec(),
        movement(at, "NaN").into_bytes(),
        movement(at, "Infinity").into_bytes(),
        movement(at, "1e999").into_bytes(),
        movement(at, "0x10").into_bytes(),
        movement(at, "1,").into_bytes(),
        b"".to_vec(),
    ] {
        let shown = String::from_utf8_lossy(&body).into_owned();
        let reply = sent(&server, &moves, body);
        assert!(
            [400, 422].contains(&reply.status),
            "{shown}: {}",
            reply.text
        );
        assert_eq!(reply.header("content-type"), "application/problem+json");
    }
    // An id that is not UTF-8 in the address.
    let reply = server.get("/v1/sites/%ff%fe");
    assert!([400, 404].contains(&reply.status), "{}", reply.text);
    assert_eq!(server.get(STOCK).ok()["movements"], 0);
}

#[test]
fn what_cannot_be_is_named_by_its_field() {
    let server = demo::fixed_week();
    let moves = format!("{STOCK}/movements");
    let good = "2026-06-02T08:00:00+01:00";
    for (at, kg, field) in [
        (good, "1e300", "change.kg"),
        (good, "\"40\"", "change.kg"),
        (good, "null", "change.kg"),
        (good, "[40]", "change.kg"),
        (good, "true", "change.kg"),
        ("2026-02-30T08:00:00+01:00", "1", "at"),
        ("2026-13-01T08:00:00+01:00", "1", "at"),
        ("2026-06-02T25:00:00+01:00", "1", "at"),
        ("2026-06-02T08:00:00", "1", "at"),
        ("2026-06-02", "1", "at"),
        ("tomorrow", "1", "at"),
        ("2099-06-02T08:00:00Z", "1", "at"),
        ("+99999-06-02T08:00:00Z", "1", "at"),
    ] {
        let reply = sent(&server, &moves, movement(at, kg));
        let problem = reply.problem(422, "invalid");
        let found = problem["errors"][0]["field"].as_str().unwrap();
        // A tagged choice is read as a whole, so its own field may be all that can be said.
        assert!(
            found == field || field.starts_with(&format!("{found}.")),
            "{at} {kg}: {problem}"
        );
    }
    let numbers = json!({ "start": "2026-06-01T06:00:00+01:00", "days": 1e30, "grid_minutes": 30 });
    let problem = server
        .post(&format!("{}/plans", demo::SITE), &numbers)
        .problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "days");
    let day = format!("{}/sheet?date=2026-02-30", demo::SITE);
    let _ = server.get(&day).problem(400, "bad_query");
    assert_eq!(server.get(STOCK).ok()["movements"], 0);
}

/// In the night of 25 October 2026 the hour from 1:00 comes twice in Lisbon and London.
#[test]
fn both_instants_of_an_hour_that_comes_twice_are_kept_apart() {
    let server = demo::fixed_week();
    for (id, due) in [
        ("first", "2026-10-25T01:30:00+01:00"),
        ("second", "2026-10-25T01:30:00Z"),
    ] {
        let line = json!({ "product": "tonic", "due": due, "litres": 3.0, "priority": 3,
            "kind": "booking" });
        let path = format!("{}/demand/{id}", demo::SITE);
        let stored = server.put(&path, &line).expect(201);
        assert_eq!(stored["due"], due);
        assert_eq!(server.get(&path).ok()["due"], due);
    }
    let range = "from=2026-10-25T00:30:00Z&to=2026-10-25T01:00:00Z";
    let list = server.get(&format!("{}/demand?{range}", demo::SITE)).ok();
    assert_eq!(list["demand"].as_array().unwrap().len(), 1);
    assert_eq!(list["demand"][0]["id"], "first");
}

#[test]
fn ids_of_nobody_are_not_found_and_nothing_is_leaked() {
    let server = demo::fixed_week();
    let plan = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d";
    for path in [
        format!("/v1/plans/{plan}"),
        format!("/v1/plans/{plan}/work/boil-1"),
        format!("/v1/questions/{plan}"),
        format!("/v1/commitments/{plan}"),
        "/v1/sites/..%2f..%2fetc%2fpasswd".to_owned(),
        "/v1/sites/harbour-bar%00".to_owned(),
        "/v1/sites/%27%20OR%201=1%20--".to_owned(),
        format!("{STOCK}/kegs/06291041500213Z9"),
        format!("{STOCK}/counts/4294967295/corrections"),
    ] {
        let reply = server.get(&path);
        assert!([400, 404].contains(&reply.status), "{path}: {}", reply.text);
        let text = reply.text.to_lowercase();
        for word in [
            "sqlite", "postgres", "diesel", "panicked", "/src/", "select ",
        ] {
            assert!(!text.contains(word), "{path}: {text}");
        }
    }
}
