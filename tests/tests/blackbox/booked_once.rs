//! Work that was begun under one plan and ends under the next is booked once.

use serde_json::{Value, json};
use tests::{Server, demo};

use super::work::items;

fn tell(server: &Server, plan: &str, item: &Value, deed: &str, at: &Value) -> tests::Reply {
    let item = item["id"].as_str().unwrap();
    let path = format!("{plan}/work/{item}/{deed}");
    server.post(&path, &json!({ "at": at }))
}

/// References of what was booked for work, in order.
fn booked(server: &Server) -> Vec<String> {
    let told = server.get("/v1/events?type=stock.booked").ok();
    let events = told["events"].as_array().unwrap().iter();
    events
        .map(|event| event["data"]["reference"].as_str().unwrap().to_owned())
        .collect()
}

/// A replanning from a moment; its path.
fn replanned(server: &Server, plan: &str, now: &Value) -> String {
    let reply = server.post(&format!("{plan}/replan"), &json!({ "now": now }));
    let _ = reply.expect(202);
    let path = reply.header("location").to_owned();
    let made = server.poll(&path, demo::ended);
    assert_eq!(made["state"], "done", "{made}");
    path
}

#[test]
fn work_under_way_while_the_plan_is_replaced_is_booked_once() {
    let server = demo::fixed_week();
    let first = demo::published(&server);
    let all = items(&server, &first, "fill");
    let (early, late) = (&all[0], &all[1]);
    // The first goes on while the rest is planned anew, and ends before that is published.
    let _ = tell(&server, &first, early, "start", &early["start"]).ok();
    let second = replanned(&server, &first, &early["start"]);
    let _ = tell(&server, &first, early, "finish", &early["end"]).ok();
    assert_eq!(booked(&server).len(), 1);
    // The other begins after what the new plan knows of, so the new plan holds it still.
    let _ = tell(&server, &first, late, "start", &late["start"]).ok();
    let _ = server.post(&format!("{second}/publish"), &json!({})).ok();
    assert_eq!(booked(&server).len(), 1);
    let held = items(&server, &second, "fill");
    let held = held.iter().find(|item| item["id"] == late["id"]);
    let held = held.expect("still ahead in the new plan");
    assert_eq!(held["state"], "started");

    // The first, told once more: nothing new. The other ends under the new plan.
    let _ = tell(&server, &first, early, "finish", &early["end"]).ok();
    assert_eq!(booked(&server).len(), 1);
    let _ = tell(&server, &second, held, "finish", &late["end"]).ok();
    assert_eq!(booked(&server).len(), 2);
    // Somebody at an old screen ends it there too.
    let _ = tell(&server, &first, late, "finish", &late["end"]);
    let ids = booked(&server);
    assert_eq!(ids.len(), 2, "{ids:?}");
    for item in [early, late] {
        let end = format!("/{}", item["id"].as_str().unwrap());
        assert!(ids.iter().any(|id| id.ends_with(&end)), "{end}: {ids:?}");
    }
}
