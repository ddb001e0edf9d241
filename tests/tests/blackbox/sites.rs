//! Sites over HTTP.

use serde_json::json;
use tests::{Server, demo};

#[test]
fn a_site_is_created_read_listed_and_replaced() {
    let server = Server::empty();
    let mut site = demo::scenario()["site"].clone();
    let created = server.post("/v1/sites", &site);
    assert_eq!(created.expect(201), site);
    assert_eq!(created.header("location"), demo::SITE);
    assert_eq!(server.get("/v1/sites").ok(), json!({ "sites": [site] }));
    let read = server.get(demo::SITE);
    assert_eq!(read.ok(), site);
    assert_eq!(read.header("etag"), "\"1\"");
    site["name"] = json!("Harbour bar, quay side");
    let replaced = server.put_if(demo::SITE, "\"1\"", &site);
    assert_eq!(replaced.ok(), site);
    assert_eq!(replaced.header("etag"), "\"2\"");
}

#[test]
fn a_change_based_on_an_old_reading_is_refused() {
    let server = Server::empty();
    let mut site = demo::scenario()["site"].clone();
    let _ = server.post("/v1/sites", &site).expect(201);
    site["elevation_m"] = json!(80.0);
    let _ = server
        .put(demo::SITE, &site)
        .problem(428, "precondition_required");
    let _ = server.put_if(demo::SITE, "\"1\"", &site).ok();
    site["elevation_m"] = json!(90.0);
    let _ = server
        .put_if(demo::SITE, "\"1\"", &site)
        .problem(412, "changed_since");
    assert_eq!(server.get(demo::SITE).ok()["elevation_m"], 80.0);
}

#[test]
fn a_second_site_of_the_same_id_is_refused() {
    let server = Server::empty();
    let site = demo::scenario()["site"].clone();
    let _ = server.post("/v1/sites", &site).expect(201);
    let _ = server.post("/v1/sites", &site).problem(409, "site_exists");
}

#[test]
fn the_facts_of_a_place_are_checked() {
    let server = Server::empty();
    let check = |field: &str, value: serde_json::Value, part: &str| {
        let mut site = demo::scenario()["site"].clone();
        site[field] = value;
        let problem = server.post("/v1/sites", &site).problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], field, "{problem}");
        let message = problem["errors"][0]["message"].as_str().unwrap();
        assert!(message.contains(part), "{message}");
    };
    check("id", json!("Harbour Bar"), "a-z");
    check("currency", json!("euro"), "EUR");
    check("name", json!("  "), "1 to 120");
    check("elevation_m", json!(99_000), "elevation");
    check("time_zone", json!("Europe/Atlantis"), "Atlantis");
    check("colour", json!("blue"), "unknown field `colour`");
}
