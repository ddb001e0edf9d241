//! Something more is asked for, held, accepted or let go; and the other questions over HTTP.

use serde_json::{Value, json};
use tests::{Server, demo};

fn question() -> Value {
    let mut body = demo::week();
    body["product"] = json!("tonic");
    body["litres"] = json!(3.0);
    body["days"] = json!(4);
    body["due"] = json!("2026-06-04T18:00:00+01:00");
    body["gap"] = json!(0.01);
    body
}

fn asked(server: &Server, path: &str, body: &Value) -> (String, Value) {
    let reply = server.post(path, body);
    let _ = reply.expect(202);
    let place = reply.header("location").to_owned();
    let answered = server.poll(&place, demo::ended);
    assert_eq!(answered["state"], "done", "{answered}");
    (place, answered)
}

#[test]
fn a_commitment_is_asked_held_and_accepted() {
    let server = demo::fixed_week();
    let ask = format!("{}/commitments", demo::SITE);
    let (one, answer) = asked(&server, &ask, &question());
    assert_eq!(answer["standing"], "asked");
    assert_eq!(answer["commitment"]["can"], "yes", "{answer}");
    let accept = json!({ "demand": "party", "note": "A party" });
    let _ = server
        .post(&format!("{one}/accept"), &accept)
        .problem(409, "wrong_standing");
    let held = server
        .post(&format!("{one}/hold"), &json!({ "minutes": 15 }))
        .ok();
    assert_eq!(held["standing"], "held");
    assert!(held["held_until"].is_string());
    // Held again from now.
    let _ = server
        .post(&format!("{one}/hold"), &json!({ "minutes": 20 }))
        .ok();
    // Others are answered as if it were booked: it is in what the question was planned with.
    let (two, other) = asked(&server, &ask, &question());
    let lines = other["commitment"]["plan"]["services"].as_array().unwrap();
    let id = one.rsplit('/').next().unwrap();
    let hold = format!("hold-{id}");
    assert!(
        lines.iter().any(|line| line["demand"] == hold.as_str()),
        "{lines:?}"
    );

    let accepted = server.post(&format!("{one}/accept"), &accept).ok();
    assert_eq!(accepted["standing"], "accepted");
    assert_eq!(accepted["demand"], "party");
    assert_eq!(
        server.post(&format!("{one}/accept"), &accept).ok(),
        accepted
    );
    let demand = server.get(&format!("{}/demand", demo::SITE)).ok();
    let lines = demand["demand"].as_array().unwrap();
    let line = lines.iter().find(|line| line["id"] == "party").unwrap();
    assert_eq!(line["kind"], "booking");
    assert_eq!(line["litres"], answer["commitment"]["wanted_l"]);
    // The second answer rests on what has changed since.
    let _ = server
        .post(&format!("{two}/hold"), &json!({ "minutes": 15 }))
        .problem(409, "outdated");
    let released = server.post(&format!("{two}/release"), &json!({})).ok();
    assert_eq!(released["standing"], "released");
    let _ = server
        .post(&format!("{one}/release"), &json!({}))
        .problem(409, "wrong_standing");
    let told = server.get("/v1/events?type=commitment.accepted").ok();
    assert_eq!(told["events"][0]["data"]["demand"], json!(["party"]));
}

#[test]
fn what_is_wrong_with_a_commitment_is_named() {
    let server = demo::fixed_week();
    let check = |edit: fn(&mut Value), field: &str| {
        let mut body = question();
        edit(&mut body);
        let reply = server.post(&format!("{}/commitments", demo::SITE), &body);
        let problem = reply.problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], field, "{problem}");
    };
    check(|b| b["product"] = json!("cola"), "product");
    check(|b| b["due"] = json!("2026-07-05T17:00:00+01:00"), "due");
    check(|b| b["kegs"] = json!(1), "litres");
    check(|b| b["litres"] = Value::Null, "litres");
    let no_keg = |b: &mut Value| {
        b["litres"] = Value::Null;
        b["kegs"] = json!(0);
    };
    check(no_keg, "kegs");
    let nobody = "/v1/commitments/01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d";
    let _ = server.get(nobody).problem(404, "unknown_question");
}

#[test]
fn changes_are_compared_and_a_plan_is_replayed_in_the_background() {
    let server = demo::fixed_week();
    let mut body = demo::week();
    body["gap"] = json!(0.01);
    body["changes"] = json!([
        { "label": "Nothing", "patch": {} },
        { "label": "No ice to buy", "patch": { "setup": { "ice": { "purchase": null } } } },
    ]);
    let path = format!("{}/what-if", demo::SITE);
    let (_, answer) = asked(&server, &path, &body);
    assert_eq!(answer["kind"], "what_if");
    assert_eq!(answer["what_if"]["cases"][0]["difference"]["served_l"], 0.0);
    assert_eq!(answer["what_if"]["cases"][1]["label"], "No ice to buy");
    body["changes"] = json!([]);
    let _ = server.post(&path, &body).problem(422, "invalid");

    let plan = demo::planned(&server);
    let few = json!({ "replays": 100 });
    let (place, answer) = asked(&server, &format!("{plan}/confidence"), &few);
    assert_eq!(answer["confidence"]["replays"], 100);
    // A question is no plan.
    let id = place.rsplit('/').next().unwrap();
    let _ = server
        .get(&format!("/v1/plans/{id}"))
        .problem(404, "unknown_plan");
    let list = server.get(&format!("{}/plans", demo::SITE)).ok();
    assert_eq!(list["plans"].as_array().unwrap().len(), 1);
}
