//! Hard days of the queue: rows that cannot be read, processes that are killed again and again,
//! clocks that differ, and two processes on one database.

use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tests::{Server, demo};

/// A request that keeps the solver busy for a while.
fn hard() -> Value {
    let mut body = demo::week();
    body["grid_minutes"] = json!(15);
    body["gap"] = json!(0);
    body["time_limit_s"] = json!(100);
    body
}

fn queued(server: &Server, body: &Value) -> String {
    let reply = server.post(&format!("{}/plans", demo::SITE), body);
    let _ = reply.expect(202);
    reply.header("location").to_owned()
}

fn cancelled(server: &Server, path: &str) {
    let _ = server
        .post(&format!("{path}/cancel"), &json!({}))
        .expect(202);
    let plan = server.poll(path, demo::ended);
    assert_eq!(plan["state"], "cancelled", "{plan}");
}

fn id(path: &str) -> &str {
    path.rsplit('/').next().unwrap()
}

fn running(plan: &Value) -> bool {
    assert_ne!(plan["state"], "failed", "{plan}");
    plan["state"] == "running"
}

#[test]
fn a_row_that_cannot_be_read_is_set_aside_and_the_queue_goes_on() {
    let server = demo::fixed_week();
    let busy = queued(&server, &hard());
    let _ = server.poll(&busy, running);
    let broken = queued(&server, &demo::week());
    let unreadable = queued(&server, &demo::week());
    let after = queued(&server, &hard());
    for (path, column) in [(&broken, "scenario"), (&unreadable, "request")] {
        let row = id(path);
        let _ = server.sql(&format!(
            "UPDATE plans SET {column} = '{{\"setup\":' WHERE id = '{row}'"
        ));
    }
    cancelled(&server, &busy);
    let _ = server.poll(&after, running);
    let plan = server.get(&broken).ok();
    assert_eq!(plan["state"], "failed", "{plan}");
    assert_eq!(plan["failure"]["code"], "set_aside", "{plan}");
    let told = server.get("/v1/events?type=plan.failed").ok();
    let told: Vec<&str> = told["events"]
        .as_array()
        .unwrap()
        .iter()
        .map(|event| event["data"]["plan"].as_str().unwrap())
        .collect();
    assert_eq!(told, [id(&broken), id(&unreadable)]);
    // The list shows what can be read.
    let list = server.get(&format!("{}/plans", demo::SITE)).ok();
    let listed = list["plans"].as_array().unwrap().iter();
    assert!(listed.clone().any(|plan| plan["id"] == id(&broken)));
    assert!(!listed.clone().any(|plan| plan["id"] == id(&unreadable)));
    assert_eq!(server.get("/readyz").status, 200);
    cancelled(&server, &after);
}

#[test]
fn a_process_that_is_killed_again_and_again_fails_no_innocent_plan() {
    let mut server = demo::fixed_week();
    let path = queued(&server, &hard());
    for _ in 0..4 {
        let _ = server.poll(&path, running);
        server.crash_and_restart();
    }
    let _ = server.poll(&path, running);
    cancelled(&server, &path);
}

/// A clock that was set back an hour after a crash made every lease an hour too long. Leases were
/// instants then; a version that reads no instant does not care what stands there.
#[test]
fn a_clock_that_is_set_back_after_a_crash_holds_nothing_up() {
    let mut server = demo::fixed_week();
    let path = queued(&server, &hard());
    let _ = server.poll(&path, running);
    server.crash();
    let ahead = chrono::Utc::now().naive_utc() + chrono::Duration::hours(1);
    let ahead = ahead.format("%Y-%m-%d %H:%M:%S");
    let _ = server.sql(&format!("UPDATE plans SET lease_until = '{ahead}'"));
    server.restart();
    let taken_up = || {
        server.sql(&format!(
            "SELECT attempts FROM plans WHERE id = '{}'",
            id(&path)
        ))
    };
    let begun = Instant::now();
    while taken_up() != "2" {
        assert!(
            begun.elapsed() < Duration::from_secs(60),
            "it stays with the dead"
        );
        std::thread::sleep(Duration::from_millis(50));
    }
    cancelled(&server, &path);
}

#[test]
fn two_processes_whose_clocks_differ_do_not_search_the_same_plan_twice() {
    let one = demo::fixed_week();
    let path = queued(&one, &hard());
    let _ = one.poll(&path, running);
    let two = one.beside();
    // To a process whose clock is ahead, every lease looks as if it had run out.
    let past = chrono::Utc::now().naive_utc() - chrono::Duration::seconds(15);
    let past = past.format("%Y-%m-%d %H:%M:%S");
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(3) {
        let _ = two.sql(&format!("UPDATE plans SET lease_until = '{past}'"));
        std::thread::sleep(Duration::from_millis(50));
    }
    let attempts = two.sql(&format!(
        "SELECT attempts FROM plans WHERE id = '{}'",
        id(&path)
    ));
    assert_eq!(attempts, "1");
    // What one searches, the other can cancel.
    cancelled(&two, &path);
}

#[test]
fn what_a_dead_process_searched_is_taken_up_by_the_other() {
    let mut one = demo::fixed_week();
    let path = queued(&one, &hard());
    let _ = one.poll(&path, running);
    let two = one.beside();
    one.crash();
    let begun = Instant::now();
    while two.sql(&format!(
        "SELECT attempts FROM plans WHERE id = '{}'",
        id(&path)
    )) != "2"
    {
        assert!(
            begun.elapsed() < Duration::from_secs(60),
            "it stays with the dead"
        );
        std::thread::sleep(Duration::from_millis(50));
    }
    cancelled(&two, &path);
}
