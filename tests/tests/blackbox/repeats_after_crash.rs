//! Requests with an `Idempotency-Key` that a crash cut off: settled when they are asked for again,
//! not minutes later.

use reqwest::Method;
use serde_json::json;
use tests::{Reply, Server, database, demo};

fn taken(server: &Server, key: &str) -> Reply {
    let movement = json!({ "reference": key, "at": "2026-06-02T08:00:00+01:00",
        "change": { "of": "ice", "kg": -1.0 } });
    let path = format!("{}/stock/movements", demo::SITE);
    let request = server.request(Method::POST, &path);
    server.send(request.header("Idempotency-Key", key).json(&movement))
}

/// Leaves a request as it is while it is being answered.
fn leave(server: &Server, key: &str, state: &str) {
    let change = format!(
        "UPDATE repeats SET state = '{state}', status = NULL, headers = NULL, body = NULL \
         WHERE key = '{key}'"
    );
    let _ = database::sql(server, &change);
}

#[test]
fn what_a_crash_cut_off_is_settled_by_the_first_repeat() {
    let mut server = demo::fixed_week();
    for key in ["made", "open", "answered"] {
        let _ = taken(&server, key).expect(201);
    }
    leave(&server, "made", "changed");
    leave(&server, "open", "underway");
    let _ = taken(&server, "open").problem(409, "repeat_underway");
    server.crash_and_restart();
    // PostgreSQL notices within a moment that the process is gone.
    let settled = |key: &str| {
        for _ in 0..600 {
            let reply = taken(&server, key);
            if reply.json()["code"] != "repeat_underway" {
                return reply;
            }
            std::thread::sleep(std::time::Duration::from_millis(50));
        }
        panic!("it is not settled within half a minute");
    };
    // The change was made, so it is not made again.
    let _ = settled("made").problem(409, "answer_lost");
    // Nothing was noted as changed, so it is asked anew; the ledger knows the reference.
    assert_eq!(settled("open").status, 200);
    let again = settled("answered");
    assert_eq!(again.status, 201);
    assert_eq!(again.header("idempotent-replayed"), "true");
    let stock = server.get(&format!("{}/stock", demo::SITE)).ok();
    assert_eq!(stock["movements"], 3);
}
