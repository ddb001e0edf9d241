//! Setup over HTTP: revisions, ETags, and changes that must not overwrite each other.

use reqwest::Method;
use serde_json::json;
use tests::{Server, demo};

const SETUP: &str = "/v1/sites/harbour-bar/setup";

fn with_site() -> (Server, serde_json::Value) {
    let server = Server::empty();
    let scenario = demo::scenario();
    let _ = server.post("/v1/sites", &scenario["site"]).expect(201);
    (server, demo::setup_of(&scenario))
}

#[test]
fn each_change_is_a_revision_and_old_ones_stay() {
    let (server, first) = with_site();
    let _ = server.get(SETUP).problem(404, "no_setup");
    let stored = server.put(SETUP, &first);
    assert_eq!(stored.expect(201), first);
    assert_eq!(stored.header("etag"), "\"1\"");
    let mut second = first.clone();
    second["setup"]["pots"][0]["power_w"] = json!(6000.0);
    let stored = server.put_if(SETUP, "\"1\"", &second);
    assert_eq!(stored.ok(), second);
    assert_eq!(stored.header("etag"), "\"2\"");
    assert_eq!(server.get(SETUP).ok(), second);
    assert_eq!(server.get(&format!("{SETUP}/revisions/1")).ok(), first);
    let _ = server
        .get(&format!("{SETUP}/revisions/3"))
        .problem(404, "unknown_revision");
    let _ = server
        .get(&format!("{SETUP}/revisions/0"))
        .problem(400, "bad_path");
    let revisions = server.get(&format!("{SETUP}/revisions")).ok();
    assert_eq!(revisions["revisions"][0]["revision"], 2);
    assert_eq!(revisions["revisions"][1]["revision"], 1);
}

#[test]
fn a_lost_update_is_refused() {
    let (server, first) = with_site();
    let _ = server
        .put_if(SETUP, "\"1\"", &first)
        .problem(412, "changed_since");
    let _ = server.put(SETUP, &first).expect(201);
    let _ = server
        .put(SETUP, &first)
        .problem(428, "precondition_required");
    let mut second = first.clone();
    second["policy"]["purges"] = json!(4);
    let _ = server.put_if(SETUP, "\"1\"", &second).ok();
    let mut third = first.clone();
    third["policy"]["purges"] = json!(5);
    let problem = server
        .put_if(SETUP, "\"1\"", &third)
        .problem(412, "changed_since");
    assert!(
        problem["detail"].as_str().unwrap().contains("revision 2"),
        "{problem}"
    );
    assert_eq!(server.get(SETUP).ok(), second);
    let absent = server
        .request(Method::PUT, SETUP)
        .header("If-None-Match", "*")
        .json(&third);
    let _ = server.send(absent).problem(412, "changed_since");
    let both = |absent: &str| {
        server
            .request(Method::PUT, SETUP)
            .header("If-Match", "*")
            .header("If-None-Match", absent)
            .json(&third)
    };
    let _ = server.send(both("{}")).problem(400, "bad_header");
    let _ = server.send(both("*")).problem(412, "changed_since");
    let _ = server.put_if(SETUP, "1", &third).problem(400, "bad_header");
    let _ = server.put_if(SETUP, "*", &third).ok();
}

#[test]
fn saying_the_same_again_makes_no_revision() {
    let (server, first) = with_site();
    let _ = server.put(SETUP, &first).expect(201);
    let again = server.put_if(SETUP, "\"1\"", &first);
    assert_eq!(again.header("etag"), "\"1\"");
    assert_eq!(
        server.get(&format!("{SETUP}/revisions")).ok()["revisions"]
            .as_array()
            .unwrap()
            .len(),
        1
    );
}

#[test]
fn a_setup_that_cannot_work_is_refused() {
    let (server, first) = with_site();
    let check = |pointer: &str, value: serde_json::Value, field: &str| {
        let mut setup = first.clone();
        *setup.pointer_mut(pointer).unwrap() = value;
        let problem = server.put(SETUP, &setup).problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], field, "{problem}");
    };
    check("/setup/pots/0/power_w", json!(0), "setup.pots[0].power_w");
    check(
        "/setup/routes/0/pots",
        json!(["kettle"]),
        "setup.routes[0].pots[0]",
    );
    check(
        "/setup/crew/shifts/0/hands",
        json!(0),
        "setup.crew.shifts[0].hands",
    );
    check("/policy/purge_bar", json!(8), "policy.purge_bar");
}

#[test]
fn everything_that_cannot_be_read_is_told_at_once() {
    let (server, first) = with_site();
    let mut setup = first;
    setup["setup"]["pots"][0]["power_w"] = json!(0);
    setup["setup"]["pots"][1]["colour"] = json!("blue");
    setup["setup"]["costs"]
        .as_object_mut()
        .unwrap()
        .remove("co2_per_kg");
    setup["policy"]["purges"] = json!("five");
    let problem = server.put(SETUP, &setup).problem(422, "invalid");
    let errors = problem["errors"].as_array().unwrap();
    let mut fields: Vec<&str> = errors
        .iter()
        .map(|e| e["field"].as_str().unwrap())
        .collect();
    fields.sort_unstable();
    let expected = [
        "policy.purges",
        "setup.costs.co2_per_kg",
        "setup.pots[0].power_w",
        "setup.pots[1].colour",
    ];
    assert_eq!(fields, expected);
}

#[test]
fn parts_of_a_setup_are_changed_by_a_merge_patch() {
    let (server, first) = with_site();
    let _ = server.put(SETUP, &first).expect(201);
    let patch = |etag: &str, body: &serde_json::Value| {
        let request = server
            .request(Method::PATCH, SETUP)
            .header("If-Match", etag)
            .header("Content-Type", "application/merge-patch+json");
        server.send(request.body(body.to_string()))
    };
    let changed = patch("\"1\"", &json!({ "policy": { "purges": 5 } }));
    assert_eq!(changed.header("etag"), "\"2\"");
    let mut second = first.clone();
    second["policy"]["purges"] = json!(5);
    assert_eq!(changed.ok(), second);
    assert_eq!(server.get(SETUP).ok(), second);
    let _ = patch("\"1\"", &json!({})).problem(412, "changed_since");
    let problem =
        patch("\"2\"", &json!({ "policy": { "purges": "five" } })).problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "policy.purges", "{problem}");
    let unconditional = server.request(Method::PATCH, SETUP).json(&json!({}));
    let _ = server
        .send(unconditional)
        .problem(428, "precondition_required");
    let changes = server.get(&format!("{SETUP}/changes?from=1&to=2")).ok();
    assert_eq!(
        changes["changes"],
        json!([{ "op": "replace", "path": "/policy/purges", "value": 5 }])
    );
    let _ = server
        .get(&format!("{SETUP}/changes?from=1&to=9"))
        .problem(404, "unknown_revision");
    let _ = server
        .get(&format!("{SETUP}/changes?from=1"))
        .problem(400, "bad_query");
}

#[test]
fn what_is_dangerous_is_told_when_it_is_stored() {
    let (server, first) = with_site();
    assert!(
        server
            .put(SETUP, &first)
            .expect(201)
            .get("dangers")
            .is_none()
    );
    let mut freezing = first.clone();
    freezing["setup"]["cold_stores"][0]["air_c"] = json!(-0.9);
    let told = server.put_if(SETUP, "\"1\"", &freezing).ok();
    assert_eq!(told["dangers"][0]["field"], "setup.cold_stores[0].air_c");
    assert_eq!(told["dangers"][0]["caution"]["kind"], "pressure");
    // A patch tells it too; what is read back is the document alone.
    let warm = json!({ "policy": { "gas_at_c": 12 } });
    let patch = server
        .request(Method::PATCH, SETUP)
        .header("If-Match", "*")
        .header("Content-Type", "application/merge-patch+json")
        .body(warm.to_string());
    let told = server.send(patch).ok();
    let fields: Vec<_> = told["dangers"].as_array().unwrap().iter().collect();
    assert_eq!(fields[0]["field"], "policy.gas_at_c", "{told}");
    assert_eq!(fields[1]["field"], "setup.cold_stores[0].air_c", "{told}");
    assert!(server.get(SETUP).ok().get("dangers").is_none());
}
