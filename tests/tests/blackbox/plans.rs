//! The main job over HTTP: a plan is requested, made in the background, and read.

use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tests::{Server, demo};

fn request(server: &Server, body: &Value) -> String {
    let reply = server.post(&format!("{}/plans", demo::SITE), body);
    let plan = reply.expect(202);
    let path = reply.header("location").to_owned();
    assert_eq!(path, format!("/v1/plans/{}", plan["id"].as_str().unwrap()));
    assert_eq!(plan["state"], "queued");
    path
}

/// A request that keeps the solver busy for a while.
fn hard() -> Value {
    let mut body = demo::week();
    body["grid_minutes"] = json!(15);
    body["gap"] = json!(0);
    body["time_limit_s"] = json!(60);
    body
}

#[test]
fn a_week_is_planned_and_its_work_read() {
    let server = demo::fixed_week();
    let path = request(&server, &demo::week());
    let plan = server.poll(&path, demo::ended);
    assert_eq!(plan["state"], "done", "{plan}");
    assert_eq!(plan["setup_revision"], 1);
    let result = &plan["result"];
    assert!(
        result["verdict"]["gap"].as_f64().unwrap() <= 1e-3,
        "{}",
        result["verdict"]
    );
    assert_eq!(plan["progress"]["best"], result["verdict"]["worth"]);
    let work = |query: &str| server.get(&format!("{path}/work{query}")).ok()["work"].clone();
    let mut listed = work("");
    for item in listed.as_array_mut().unwrap() {
        let fields = item.as_object_mut().unwrap();
        assert_eq!(fields.remove("plan").unwrap(), plan["id"]);
        assert_eq!(fields.remove("state").unwrap(), "planned");
    }
    assert_eq!(listed, result["work"]);
    let boils = work("?kind=boil");
    assert!(
        boils
            .as_array()
            .unwrap()
            .iter()
            .all(|item| item["kind"] == "boil")
    );
    let friday = work("?from=2026-06-05T00:00:00%2B01:00&to=2026-06-06T00:00:00%2B01:00");
    for item in friday.as_array().unwrap() {
        assert!(
            item["start"].as_str().unwrap().starts_with("2026-06-05T"),
            "{item}"
        );
    }
    let list = server.get(&format!("{}/plans", demo::SITE)).ok();
    assert_eq!(list["plans"][0]["id"], plan["id"]);
    assert!(list["plans"][0]["result"].is_null());
}

#[test]
fn the_service_and_the_command_line_plan_the_same() {
    let server = demo::fixed_week();
    let path = request(&server, &demo::week());
    let plan = server.poll(&path, demo::ended);
    let scenario = server.get(&format!("{path}/scenario")).text;
    let told = tests::fizzwright(&["plan", "-", "--json"], scenario.as_bytes())
        .well()
        .json();
    assert_eq!(plan["result"], told);
}

#[test]
fn the_demo_is_planned_when_it_is_loaded() {
    let server = Server::demo();
    let list = server.get(&format!("{}/plans", demo::SITE)).ok();
    let path = format!("/v1/plans/{}", list["plans"][0]["id"].as_str().unwrap());
    let plan = server.poll(&path, demo::ended);
    assert_eq!(plan["state"], "done", "{plan}");
}

#[test]
fn a_running_plan_is_cancelled_soon() {
    let server = demo::fixed_week();
    let path = request(&server, &hard());
    let _ = server.poll(&path, |plan| {
        plan["state"] == "running" && !plan["progress"]["bound"].is_null()
    });
    // Far less than the search would take, with room for a busy machine.
    let begun = Instant::now();
    let _ = server
        .post(&format!("{path}/cancel"), &json!({}))
        .expect(202);
    let plan = server.poll(&path, demo::ended);
    assert_eq!(plan["state"], "cancelled", "{plan}");
    assert!(
        begun.elapsed() < Duration::from_secs(15),
        "{:?}",
        begun.elapsed()
    );
    // Once more is not wrong.
    let _ = server
        .post(&format!("{path}/cancel"), &json!({}))
        .expect(202);
}

#[test]
fn a_queued_plan_is_cancelled_at_once_and_its_work_is_not_there() {
    let server = demo::fixed_week();
    let first = request(&server, &hard());
    let second = request(&server, &demo::week());
    let _ = server
        .get(&format!("{second}/work"))
        .problem(409, "plan_unfinished");
    let plan = server
        .post(&format!("{second}/cancel"), &json!({}))
        .expect(202);
    assert_eq!(plan["state"], "cancelled");
    let _ = server
        .get(&format!("{second}/work"))
        .problem(409, "plan_unfinished");
    let _ = server
        .post(&format!("{first}/cancel"), &json!({}))
        .expect(202);
}

#[test]
fn a_finished_plan_cannot_be_cancelled() {
    let server = demo::fixed_week();
    let path = request(&server, &demo::week());
    let _ = server.poll(&path, demo::ended);
    let _ = server
        .post(&format!("{path}/cancel"), &json!({}))
        .problem(409, "plan_finished");
}

#[test]
fn a_plan_interrupted_by_a_crash_is_taken_up_again() {
    let mut server = demo::fixed_week();
    let path = request(&server, &demo::week());
    let waiting = request(&server, &demo::week());
    let _ = server.poll(&path, |plan| plan["state"] == "running");
    server.crash_and_restart();
    for path in [path, waiting] {
        let plan = server.poll(&path, demo::ended);
        assert_eq!(plan["state"], "done", "{plan}");
    }
}

#[test]
fn a_polite_stop_puts_the_plan_back_into_the_queue() {
    let mut server = demo::fixed_week();
    let path = request(&server, &hard());
    let _ = server.poll(&path, |plan| plan["state"] == "running");
    let begun = Instant::now();
    server.stop_and_restart();
    assert!(
        begun.elapsed() < Duration::from_secs(10),
        "{:?}",
        begun.elapsed()
    );
    // No lease has to run out first: it is taken up at once.
    let plan = server.poll(&path, |plan| plan["state"] == "running");
    assert!(begun.elapsed() < Duration::from_secs(12), "{plan}");
    let _ = server
        .post(&format!("{path}/cancel"), &json!({}))
        .expect(202);
}

#[test]
fn a_request_that_cannot_be_planned_says_why() {
    let server = demo::fixed_week();
    let check = |edit: fn(&mut Value), code: &str, field: &str| {
        let mut body = demo::week();
        edit(&mut body);
        let problem = server
            .post(&format!("{}/plans", demo::SITE), &body)
            .problem(422, code);
        let found = problem["errors"][0]["field"].as_str().unwrap_or_default();
        assert_eq!(found, field, "{problem}");
    };
    check(|b| b["days"] = json!(57), "invalid", "days");
    check(
        |b| b["start"] = json!("2026-06-01T06:10:00+01:00"),
        "invalid",
        "start",
    );
    check(|b| b["grid_minutes"] = json!(20), "invalid", "grid_minutes");
    check(|b| b["time_limit_s"] = json!(0), "invalid", "time_limit_s");
    check(|b| b["gap"] = json!("small"), "invalid", "gap");
    check(
        |b| b["start"] = json!("2026-07-06T06:00:00+01:00"),
        "no_demand",
        "",
    );
}

#[test]
fn a_site_without_setup_and_stock_is_not_ready() {
    let server = Server::empty();
    let _ = server
        .post("/v1/sites", &demo::scenario()["site"])
        .expect(201);
    let reply = server.post(&format!("{}/plans", demo::SITE), &demo::week());
    let problem = reply.problem(409, "not_ready");
    assert_eq!(problem["errors"][0]["field"], "setup");
    assert_eq!(problem["errors"][1]["field"], "stock");
}
