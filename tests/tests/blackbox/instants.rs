//! Instants have a range, wherever one is taken; what was stored before it held can still be read.

use chrono::DateTime;
use std::process::Command;

use reqwest::Method;
use serde_json::{Value, json};
use tests::demo;

/// Before the first and after the last, by little and by much.
const NONE: [&str; 5] = [
    "-262143-01-01T00:00:00Z",
    "1999-12-31T23:59:59Z",
    "2200-01-01T00:00:01Z",
    "9999-12-31T23:59:59Z",
    "+262142-12-31T23:59:59Z",
];

/// A request with an instant in it, and the field it is in.
type Case = (Method, String, Value, &'static str);

fn cases(at: &str) -> Vec<Case> {
    let site = |rest: &str| format!("{}/{rest}", demo::SITE);
    let scenario = demo::scenario();
    let good = "2026-06-05T17:00:00+01:00";
    let line = json!({ "product": "tonic", "due": at, "litres": 3.0, "priority": 3,
        "kind": "booking" });
    let mut listed = line.clone();
    listed["id"] = json!("far");
    let change = json!({ "of": "ice", "kg": 1.0 });
    let movement = json!({ "reference": "far", "at": at, "change": change });
    let mut count = demo::count_of(&scenario);
    count["at"] = json!(at);
    let week = |start: &str| {
        let mut week = demo::week();
        week["start"] = json!(start);
        week
    };
    let mut capacity = demo::week();
    capacity["by"] = json!(at);
    let asked = |start: &str, due: &str| {
        let mut asked = week(start);
        asked["product"] = json!("tonic");
        asked["due"] = json!(due);
        asked["litres"] = json!(10.0);
        asked
    };
    let mut what_if = week(at);
    what_if["changes"] = json!([{ "label": "none", "patch": {} }]);
    let mut setup = demo::setup_of(&scenario);
    let pot = scenario["setup"]["pots"][0]["id"].clone();
    setup["setup"]["outages"] = json!([{ "equipment": { "kind": "pot", "pot": pot },
        "from": "2026-06-05T17:00:00Z", "until": at }]);
    let key = json!({ "name": "far", "scopes": ["read"], "expires_at": at });
    let range = "from=2026-06-01T00:00:00Z&to=2026-06-09T00:00:00Z";
    let replaced = format!("demand?{range}");
    vec![
        (Method::PUT, site("demand/far"), line, "due"),
        (
            Method::PUT,
            site(&replaced),
            json!({ "demand": [listed] }),
            "demand[0].due",
        ),
        (Method::POST, site("stock/movements"), movement, "at"),
        (Method::POST, site("stock/counts"), count, "at"),
        (Method::POST, site("plans"), week(at), "start"),
        (Method::POST, site("capacity"), capacity, "by"),
        (Method::POST, site("capacity/curve"), week(at), "start"),
        (Method::POST, site("commitments"), asked(at, good), "start"),
        (Method::POST, site("commitments"), asked(good, at), "due"),
        (Method::POST, site("what-if"), what_if, "start"),
        (Method::PUT, site("setup"), setup, "setup.outages[0].until"),
        (Method::POST, "/v1/keys".to_owned(), key, "expires_at"),
    ]
}

#[test]
fn an_instant_that_is_none_is_refused_by_its_field() {
    let server = demo::fixed_week();
    for at in NONE {
        for (method, path, body, field) in cases(at) {
            let request = server.request(method.clone(), &path).json(&body);
            let request = request.header("If-Match", "*");
            let problem = server.send(request).problem(422, "invalid");
            assert_eq!(
                problem["errors"][0]["field"], field,
                "{path} {at}: {problem}"
            );
            let told = problem["errors"][0]["message"].as_str().unwrap();
            assert!(told.contains("2200"), "{path} {at}: {told}");
        }
        let at = at.replace('+', "%2B");
        for query in [
            format!("demand?from={at}"),
            format!("demand?to={at}"),
            format!("demand.csv?from={at}"),
            format!("stock?at={at}"),
            format!("stock/kegs?at={at}"),
            format!("sheet?date={}", at.split('T').next().unwrap()),
        ] {
            // The last day there is has a first instant.
            if query.ends_with("2200-01-01") {
                continue;
            }
            let path = format!("{}/{query}", demo::SITE);
            let _ = server.get(&path).problem(400, "bad_query");
        }
    }
    let table = format!(
        "id,product,due,litres,priority,kind\nfar,tonic,{},1,3,booking\n",
        NONE[0]
    );
    let request = server
        .request(Method::POST, &format!("{}/demand.csv", demo::SITE))
        .header("Content-Type", "text/csv");
    let problem = server.send(request.body(table)).problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "line 2, due");
}

#[test]
fn the_first_and_the_last_instant_are_taken() {
    let server = demo::fixed_week();
    for (id, due) in [
        ("first", "2000-01-01T00:00:00+00:00"),
        ("last", "2200-01-01T00:00:00+00:00"),
    ] {
        let line = json!({ "product": "tonic", "due": due, "litres": 3.0, "priority": 3,
            "kind": "booking" });
        let path = format!("{}/demand/{id}", demo::SITE);
        let _ = server.put(&path, &line).expect(201);
        let told = server.get(&path).ok()["due"].as_str().unwrap().to_owned();
        let instant = |text: &str| DateTime::parse_from_rfc3339(text).unwrap();
        assert_eq!(instant(&told), instant(due));
    }
}

/// Puts instants into the database that no version takes any more.
const MOVE: &str = r#"
import sqlite3, sys
with sqlite3.connect(sys.argv[1], timeout=30) as database:
    for n, due in enumerate(["-262143-01-01 00:00:00", "+262142-12-31 23:59:59"]):
        database.execute("INSERT INTO demand SELECT site, ?, product, ?, litres, priority, kind, "
            "note, changed_at FROM demand LIMIT 1", ["far-%d" % n, due])
"#;

#[test]
fn what_was_stored_before_instants_had_a_range_is_read() {
    let server = demo::fixed_week();
    if server.database().starts_with("postgres") {
        return;
    }
    let before = server.get(&format!("{}/demand", demo::SITE)).ok();
    let moved = Command::new("python3")
        .args(["-c", MOVE, server.database()])
        .status()
        .expect("python3 is there; `make setup` installs it");
    assert!(moved.success());
    let lines = |list: &Value| list["demand"].as_array().unwrap().len();
    let more = lines(&before) + 2;
    let all = server.poll(&format!("{}/demand", demo::SITE), |list| {
        lines(list) == more
    });
    let due = |id: &str| {
        let mut lines = all["demand"].as_array().unwrap().iter();
        lines.find(|line| line["id"] == id).unwrap()["due"].clone()
    };
    let zone_apart = |id: &str, year: &str| due(id).as_str().unwrap().starts_with(year);
    assert!(zone_apart("far-0", "2000-01-01T"), "{}", due("far-0"));
    assert!(zone_apart("far-1", "2200-01-01T"), "{}", due("far-1"));
    for path in [
        "/v1/sites/harbour-bar/demand.csv",
        "/board/harbour-bar/demand",
    ] {
        assert_eq!(server.get(path).status, 200, "{path}");
    }
    assert_eq!(
        server
            .delete(&format!("{}/demand/far-0", demo::SITE))
            .status,
        204
    );
}
