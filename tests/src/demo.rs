//! The demo scenario, as the program prints it, and the demo site put into a server by hand.

use serde_json::{Value, json};

use crate::{Server, fizzwright};

/// The demo scenario with fixed dates.
#[must_use]
pub fn scenario() -> Value {
    fizzwright(&["sample", "--fixed"], b"").well().json()
}

/// Path of the demo site.
pub const SITE: &str = "/v1/sites/harbour-bar";

/// A request for a plan of the demo's fixed week.
#[must_use]
pub fn week() -> Value {
    json!({ "start": "2026-06-01T06:00:00+01:00", "days": 7, "grid_minutes": 30 })
}

/// Whether a plan, or another question that takes a while, is over.
///
/// # Panics
/// If it has no state.
#[must_use]
pub fn ended(plan: &Value) -> bool {
    let state = plan["state"].as_str().expect("a state");
    ["done", "failed", "cancelled"].contains(&state)
}

/// Has the demo's fixed week planned; the plan's path.
///
/// # Panics
/// If there is no plan in the end.
#[must_use]
pub fn planned(server: &Server) -> String {
    let reply = server.post(&format!("{SITE}/plans"), &week());
    let _ = reply.expect(202);
    let path = reply.header("location").to_owned();
    let plan = server.poll(&path, ended);
    assert_eq!(plan["state"], "done", "{plan}");
    path
}

/// Has the demo's fixed week planned and published; the plan's path.
///
/// # Panics
/// If it is not published.
#[must_use]
pub fn published(server: &Server) -> String {
    let path = planned(server);
    let _ = server.post(&format!("{path}/publish"), &json!({})).ok();
    path
}

/// The setup document of a scenario.
#[must_use]
pub fn setup_of(scenario: &Value) -> Value {
    json!({ "setup": scenario["setup"], "policy": scenario["policy"] })
}

/// A count of a scenario's stock.
#[must_use]
pub fn count_of(scenario: &Value) -> Value {
    json!({
        "reference": "monday-count",
        "at": "2026-06-01T06:00:00+01:00",
        "stock": scenario["stock"],
    })
}

/// A server with the demo site's fixed week stored over HTTP, and no plan requested.
///
/// # Panics
/// If something is refused.
#[must_use]
pub fn fixed_week() -> Server {
    let server = Server::empty();
    store(&server);
    server
}

/// Stores the demo site's fixed week over HTTP.
///
/// # Panics
/// If something is refused.
pub fn store(server: &Server) {
    let scenario = scenario();
    let _ = server.post("/v1/sites", &scenario["site"]).expect(201);
    let _ = server
        .put(&format!("{SITE}/setup"), &setup_of(&scenario))
        .expect(201);
    let _ = server
        .post(&format!("{SITE}/stock/counts"), &count_of(&scenario))
        .expect(201);
    let range = "from=2026-06-01T00:00:00Z&to=2026-06-09T00:00:00Z";
    let demand = json!({ "demand": scenario["demand"] });
    let _ = server.put(&format!("{SITE}/demand?{range}"), &demand).ok();
}
