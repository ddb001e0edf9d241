//! The queue of searches: sites take turns, what is open is bounded, and everything can be cancelled.

use std::time::{Duration, Instant};

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, demo};

const OTHER: &str = "/v1/sites/long-bar";

/// A request that keeps the solver busy for a while.
fn hard() -> Value {
    let mut body = demo::week();
    body["grid_minutes"] = json!(15);
    body["gap"] = json!(0);
    body["time_limit_s"] = json!(100);
    body
}

fn queued(server: &Server, path: &str, body: &Value) -> String {
    let reply = server.post(path, body);
    let _ = reply.expect(202);
    reply.header("location").to_owned()
}

fn cancelled(server: &Server, path: &str) {
    let _ = server
        .post(&format!("{path}/cancel"), &json!({}))
        .expect(202);
}

fn state(server: &Server, path: &str) -> Value {
    server.get(path).ok()["state"].clone()
}

/// The demo's week at a second site.
fn store_other(server: &Server) {
    let mut scenario = demo::scenario();
    scenario["site"]["id"] = json!("long-bar");
    let _ = server.post("/v1/sites", &scenario["site"]).expect(201);
    let setup = demo::setup_of(&scenario);
    let _ = server.put(&format!("{OTHER}/setup"), &setup).expect(201);
    let count = demo::count_of(&scenario);
    let _ = server
        .post(&format!("{OTHER}/stock/counts"), &count)
        .expect(201);
    let range = "from=2026-06-01T00:00:00Z&to=2026-06-09T00:00:00Z";
    let demand = json!({ "demand": scenario["demand"] });
    let _ = server.put(&format!("{OTHER}/demand?{range}"), &demand).ok();
}

#[test]
fn one_site_cannot_keep_the_solvers_from_another() {
    let server = demo::fixed_week();
    store_other(&server);
    let plans = format!("{}/plans", demo::SITE);
    let first = queued(&server, &plans, &hard());
    let many: Vec<String> = (0..4).map(|_| queued(&server, &plans, &hard())).collect();
    let other = queued(&server, &format!("{OTHER}/plans"), &hard());
    let _ = server.poll(&first, |plan| plan["state"] == "running");
    cancelled(&server, &first);
    // It was asked for last, and it is its site's turn.
    let _ = server.poll(&other, |plan| plan["state"] == "running");
    for path in &many {
        assert_eq!(state(&server, path), "queued");
    }
    cancelled(&server, &other);
    // Then it is the first site's again, in the order of asking.
    let _ = server.poll(&many[0], |plan| plan["state"] == "running");
    for path in &many[1..] {
        assert_eq!(state(&server, path), "queued");
    }
}

#[test]
fn callers_of_a_site_take_turns() {
    let server = demo::fixed_week();
    let plans = format!("{}/plans", demo::SITE);
    let made = server.post("/v1/keys", &json!({ "name": "Till", "scopes": ["plan"] }));
    let key = made.expect(201)["key"].as_str().unwrap().to_owned();
    let first = queued(&server, &plans, &hard());
    let second = queued(&server, &plans, &hard());
    let request = server.request_as(&key, Method::POST, &plans).json(&hard());
    let reply = server.send(request);
    let _ = reply.expect(202);
    let till = reply.header("location").to_owned();
    let _ = server.poll(&first, |plan| plan["state"] == "running");
    cancelled(&server, &first);
    let _ = server.poll(&till, |plan| plan["state"] == "running");
    assert_eq!(state(&server, &second), "queued");
}

#[test]
fn open_searches_of_a_site_are_bounded() {
    let server = Server::start(&["--open-searches-per-site", "2"]);
    demo::store(&server);
    store_other(&server);
    let plans = format!("{}/plans", demo::SITE);
    let first = queued(&server, &plans, &hard());
    let _second = queued(&server, &plans, &hard());
    let mut what_if = hard();
    what_if["changes"] = json!([{ "label": "Nothing", "patch": {} }]);
    for (path, body) in [
        (plans.clone(), hard()),
        (format!("{}/what-if", demo::SITE), what_if),
    ] {
        let refused = server.post(&path, &body);
        let problem = refused.problem(429, "too_many_open");
        let detail = problem["detail"].as_str().unwrap();
        assert!(detail.contains("2 are allowed"), "{detail}");
        let seconds: u64 = refused.header("retry-after").parse().unwrap();
        assert!(seconds > 0);
    }
    // Another site is not concerned.
    let other = queued(&server, &format!("{OTHER}/plans"), &hard());
    cancelled(&server, &other);
    // One that has ended makes room for another.
    cancelled(&server, &first);
    let _ = server.poll(&first, demo::ended);
    let _third = queued(&server, &plans, &hard());
}

#[test]
fn open_searches_of_a_caller_are_bounded() {
    let server = Server::start(&["--open-searches-per-caller", "1"]);
    demo::store(&server);
    let plans = format!("{}/plans", demo::SITE);
    let made = server.post("/v1/keys", &json!({ "name": "Till", "scopes": ["plan"] }));
    let key = made.expect(201)["key"].as_str().unwrap().to_owned();
    let _first = queued(&server, &plans, &hard());
    let _ = server.post(&plans, &hard()).problem(429, "too_many_open");
    let request = server.request_as(&key, Method::POST, &plans).json(&hard());
    let _ = server.send(request).expect(202);
}

#[test]
fn the_longest_time_limit_is_a_setting() {
    let server = Server::start(&["--longest-time-limit-s", "90"]);
    demo::store(&server);
    let mut plan = demo::week();
    let mut what_if = demo::week();
    what_if["changes"] = json!([{ "label": "Nothing", "patch": {} }]);
    let mut commitment = demo::week();
    commitment["product"] = json!("tonic");
    commitment["litres"] = json!(3.0);
    commitment["due"] = json!("2026-06-04T18:00:00+01:00");
    let mut capacity = demo::week();
    capacity["by"] = json!("2026-06-05T17:00:00+01:00");
    let mut curve = demo::week();
    for (what, body) in [
        ("plans", &mut plan),
        ("what-if", &mut what_if),
        ("commitments", &mut commitment),
        ("capacity", &mut capacity),
        ("capacity/curve", &mut curve),
    ] {
        body["time_limit_s"] = json!(91);
        let refused = server.post(&format!("{}/{what}", demo::SITE), body);
        let problem = refused.problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], "time_limit_s", "{what}");
        let message = problem["errors"][0]["message"].as_str().unwrap();
        assert!(message.contains("90 s"), "{message}");
    }
    plan["time_limit_s"] = json!(90);
    let path = queued(&server, &format!("{}/plans", demo::SITE), &plan);
    cancelled(&server, &path);
}

/// Asks something, cancels it while it is searched, and checks that it ends.
fn cancels(server: &Server, ask: &str, body: &Value) {
    let path = queued(server, ask, body);
    let _ = server.poll(&path, |question| question["state"] == "running");
    let begun = Instant::now();
    cancelled(server, &path);
    let question = server.poll(&path, demo::ended);
    assert_eq!(question["state"], "cancelled", "{question}");
    // Far less than the search would take, with room for a busy machine.
    assert!(begun.elapsed() < Duration::from_secs(20), "{ask}");
    let id = question["id"].as_str().unwrap();
    let told = server.get("/v1/events?type=question.cancelled").ok();
    let told = told["events"].as_array().unwrap();
    assert!(
        told.iter().any(|event| event["data"]["question"] == id),
        "{told:?}"
    );
    // Once more is not wrong.
    cancelled(server, &path);
}

#[test]
fn a_what_if_and_a_commitment_are_cancelled_while_they_are_searched() {
    let server = demo::fixed_week();
    let mut what_if = hard();
    what_if["changes"] = (0..20)
        .map(|n| json!({ "label": format!("Case {n}"), "patch": {} }))
        .collect();
    cancels(&server, &format!("{}/what-if", demo::SITE), &what_if);
    let mut commitment = hard();
    commitment["product"] = json!("tonic");
    commitment["litres"] = json!(3.0);
    commitment["due"] = json!("2026-06-04T18:00:00+01:00");
    cancels(&server, &format!("{}/commitments", demo::SITE), &commitment);
}

#[test]
fn a_confidence_run_is_cancelled_while_it_goes_on() {
    let server = demo::fixed_week();
    let plan = demo::planned(&server);
    let most = json!({ "replays": 100_000 });
    cancels(&server, &format!("{plan}/confidence"), &most);
}

#[test]
fn a_queued_question_is_cancelled_at_once_and_an_answered_one_stays() {
    let server = demo::fixed_week();
    let plan = demo::planned(&server);
    let few = json!({ "replays": 100 });
    let confidence = format!("{plan}/confidence");
    let answered = queued(&server, &confidence, &few);
    let _ = server.poll(&answered, demo::ended);
    let _ = server
        .post(&format!("{answered}/cancel"), &json!({}))
        .problem(409, "question_finished");
    // A question is no plan and no commitment.
    let id = answered.rsplit('/').next().unwrap();
    let _ = server
        .post(&format!("/v1/plans/{id}/cancel"), &json!({}))
        .problem(404, "unknown_plan");
    let _ = server
        .post(&format!("/v1/commitments/{id}/cancel"), &json!({}))
        .problem(404, "unknown_question");
    let busy = queued(&server, &format!("{}/plans", demo::SITE), &hard());
    let waiting = queued(&server, &confidence, &few);
    let question = server
        .post(&format!("{waiting}/cancel"), &json!({}))
        .expect(202);
    assert_eq!(question["state"], "cancelled");
    cancelled(&server, &busy);
}

#[test]
fn what_takes_too_much_memory_is_refused_when_it_is_asked() {
    let server = Server::start(&["--largest-search-mb", "100"]);
    demo::store(&server);
    let mut large = demo::week();
    large["days"] = json!(56);
    large["grid_minutes"] = json!(15);
    let plans = format!("{}/plans", demo::SITE);
    let problem = server.post(&plans, &large).problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "days", "{problem}");
    let message = problem["errors"][0]["message"].as_str().unwrap();
    assert!(message.contains("100 MB are allowed"), "{message}");
    large["changes"] = json!([{ "label": "Nothing", "patch": {} }]);
    let what_if = format!("{}/what-if", demo::SITE);
    let _ = server.post(&what_if, &large).problem(422, "invalid");
    let list = server.get(&plans).ok();
    assert_eq!(list["plans"], json!([]));
}

#[test]
fn eight_weeks_of_half_hours_are_allowed_as_they_were() {
    let server = demo::fixed_week();
    let mut long = demo::week();
    long["days"] = json!(56);
    let path = queued(&server, &format!("{}/plans", demo::SITE), &long);
    cancelled(&server, &path);
    assert!(
        server
            .get("/metrics")
            .text
            .contains("fizzwright_runs_left_behind")
    );
}
