//! Capacity over HTTP.

use std::sync::Arc;
use std::sync::mpsc::channel;
use std::time::Duration;

use serde_json::{Value, json};
use tests::{Server, Unfinished, demo};

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

/// A question that takes long, different for each number.
fn long(server: &Server, key: &str, n: u32) -> Unfinished {
    let mut body = demo::week();
    body["time_limit_s"] = json!(30 + n);
    let body = body.to_string();
    let (key, length) = (format!("Bearer {key}"), body.len().to_string());
    let headers = [
        ("Authorization", key.as_str()),
        ("Content-Type", "application/json"),
        ("Content-Length", length.as_str()),
    ];
    let line = format!("POST {}/capacity/curve", demo::SITE);
    Unfinished::send(server, &line, &headers, &body)
}

#[test]
fn a_caller_with_many_questions_holds_up_nobody_else() {
    let server = demo::fixed_week();
    let made = server.post("/v1/keys", &json!({ "name": "many", "scopes": ["plan"] }));
    let key = made.expect(201)["key"].as_str().unwrap().to_owned();
    let (sender, statuses) = channel();
    let asked: Vec<Arc<Unfinished>> = (0..30)
        .map(|n| {
            let (raw, sender) = (Arc::new(long(&server, &key, n)), sender.clone());
            let asked = Arc::clone(&raw);
            std::thread::spawn(move || sender.send(raw.status()));
            asked
        })
        .collect();
    // Their share is full; what others ask is answered.
    let first = statuses.recv_timeout(Duration::from_secs(60)).unwrap();
    assert_eq!(first, Some(429));
    let answer = server.post(&format!("{}/capacity", demo::SITE), &question());
    assert!(answer.ok()["kegs"].as_u64().unwrap() > 0);
    // Whoever hangs up has their share back.
    asked.iter().for_each(|raw| raw.hang_up());
    let again = || {
        let path = format!("{}/capacity", demo::SITE);
        let request = server.request_as(&key, reqwest::Method::POST, &path);
        server.send(request.json(&question()))
    };
    let mut tries = (0..300).map(|_| {
        std::thread::sleep(Duration::from_millis(100));
        again().status
    });
    assert!(tries.any(|status| status == 200));
}

#[test]
fn equal_questions_are_worked_out_once() {
    let server = demo::fixed_week();
    let mut body = demo::week();
    body["time_limit_s"] = json!(2);
    let path = format!("{}/capacity/curve", demo::SITE);
    std::thread::scope(|scope| {
        let asked: Vec<_> = (0..40)
            .map(|_| scope.spawn(|| server.post(&path, &body)))
            .collect();
        for reply in asked {
            let _ = reply.join().unwrap().ok();
        }
    });
}
