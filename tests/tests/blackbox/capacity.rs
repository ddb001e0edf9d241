//! Capacity over HTTP.

use serde_json::{Value, json};
use tests::demo;

fn question() -> Value {
    let mut body = demo::week();
    body["by"] = json!("2026-06-05T17:00:00+01:00");
    body
}

#[test]
fn capacity_is_answered_while_the_caller_waits() {
    let server = demo::fixed_week();
    let answer = server
        .post(&format!("{}/capacity", demo::SITE), &question())
        .ok();
    assert!(answer["kegs"].as_u64().unwrap() > 0, "{answer}");
    assert!(
        answer["kegs"].as_u64() <= answer["at_most"].as_u64(),
        "{answer}"
    );
    let mut one = question();
    one["product"] = json!("tonic");
    let tonic = server.post(&format!("{}/capacity", demo::SITE), &one).ok();
    assert!(tonic["kegs"].as_u64() <= answer["kegs"].as_u64(), "{tonic}");
}

#[test]
fn whole_sets_are_counted_too() {
    let server = demo::fixed_week();
    let mut sets = question();
    sets["mix"] =
        json!([{ "product": "tonic", "kegs": 2 }, { "product": "plain-soda", "kegs": 1 }]);
    let answer = server.post(&format!("{}/capacity", demo::SITE), &sets).ok();
    let kegs = answer["kegs"].as_u64().unwrap();
    assert!(kegs > 0 && kegs.is_multiple_of(3), "{answer}");
    assert!(Some(kegs) <= answer["at_most"].as_u64(), "{answer}");
    assert_eq!(answer["mix"], sets["mix"]);
}

#[test]
fn what_is_wrong_with_a_question_is_named() {
    let server = demo::fixed_week();
    let check = |edit: fn(&mut Value), field: &str| {
        let mut body = question();
        edit(&mut body);
        let reply = server.post(&format!("{}/capacity", demo::SITE), &body);
        let problem = reply.problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], field, "{problem}");
    };
    check(|b| b["by"] = json!("2026-07-05T17:00:00+01:00"), "by");
    check(|b| b["product"] = json!("cola"), "product");
    check(|b| b["days"] = json!(0), "days");
    check(
        |b| b["mix"] = json!([{ "product": "cola", "kegs": 1 }]),
        "mix[0].product",
    );
}
