//! Everything that happened, in order: by cursor, and as it happens.

use std::io::{BufRead, BufReader};

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, demo};

fn types(list: &Value) -> Vec<String> {
    let events = list["events"].as_array().unwrap();
    let types = events
        .iter()
        .map(|e| e["type"].as_str().unwrap().to_owned());
    types.collect()
}

#[test]
fn every_change_is_told_once_and_in_order() {
    let server = demo::fixed_week();
    let all = server.get("/v1/events").ok();
    assert_eq!(
        types(&all),
        [
            "site.created",
            "setup.changed",
            "stock.recorded",
            "demand.changed"
        ]
    );
    let cursor = all["next"].as_i64().unwrap();
    // What changes nothing tells nothing.
    let setup = server.get(&format!("{}/setup", demo::SITE));
    let _ = server.put_if(
        &format!("{}/setup", demo::SITE),
        setup.header("etag"),
        &setup.ok(),
    );
    let count = demo::count_of(&demo::scenario());
    let _ = server
        .post(&format!("{}/stock/counts", demo::SITE), &count)
        .ok();
    let quiet = server.get(&format!("/v1/events?after={cursor}")).ok();
    assert_eq!(types(&quiet), [""; 0]);
    assert_eq!(quiet["next"], cursor);

    let line = json!({ "product": "tonic", "due": "2026-06-05T17:00:00+01:00", "litres": 5.0,
        "priority": 3, "kind": "booking" });
    let _ = server
        .put(&format!("{}/demand/extra", demo::SITE), &line)
        .expect(201);
    let gone = server.delete(&format!("{}/demand/extra", demo::SITE));
    assert_eq!(gone.status, 204);
    let plan = server.post(&format!("{}/plans", demo::SITE), &demo::week());
    let _ = plan.expect(202);
    let _ = server.poll(plan.header("location"), |p| p["state"] == "done");
    let new = server
        .get(&format!("/v1/events?after={cursor}&site=harbour-bar"))
        .ok();
    assert_eq!(
        types(&new),
        [
            "demand.changed",
            "demand.changed",
            "plan.requested",
            "plan.done"
        ]
    );
    assert_eq!(new["events"][0]["data"]["demand"], json!(["extra"]));
    assert_eq!(new["events"][1]["data"]["demand_gone"], json!(["extra"]));

    paged(&server);
}

/// Page by page all of them, and by type and site.
fn paged(server: &Server) {
    let (mut paged, mut after) = (Vec::new(), 0);
    loop {
        let page = server
            .get(&format!("/v1/events?limit=3&after={after}"))
            .ok();
        paged.extend(types(&page));
        after = page["next"].as_i64().unwrap();
        if page["more"] == false {
            break;
        }
    }
    assert_eq!(paged.len(), 8);
    let done = server.get("/v1/events?type=plan.done").ok();
    assert_eq!(types(&done), ["plan.done"]);
    let _ = server
        .get("/v1/events?type=plan.eaten")
        .problem(400, "bad_query");
    let most = 9_007_199_254_740_991_u64;
    let none = server.get(&format!("/v1/events?after={most}")).ok();
    assert_eq!(types(&none), [""; 0]);
    let _ = server
        .get(&format!("/v1/events?after={}", most + 1))
        .problem(400, "bad_query");
    let _ = server
        .get("/v1/events?site=nowhere")
        .problem(404, "unknown_site");
}

/// The messages of a stream, as (id, event, data).
fn messages(server: &Server, path: &str, last: Option<&str>) -> impl Iterator<Item = [String; 3]> {
    let mut request = server.request(Method::GET, path);
    if let Some(last) = last {
        request = request.header("Last-Event-ID", last);
    }
    let response = request.send().unwrap();
    assert_eq!(response.status().as_u16(), 200);
    assert_eq!(response.headers()["content-type"], "text/event-stream");
    let mut lines = BufReader::new(response).lines();
    std::iter::from_fn(move || {
        let mut message = [const { String::new() }; 3];
        loop {
            let line = lines.next()?.ok()?;
            for (n, field) in ["id: ", "event: ", "data: "].iter().enumerate() {
                if let Some(value) = line.strip_prefix(field) {
                    value.clone_into(&mut message[n]);
                }
            }
            if line.is_empty() && !message[2].is_empty() {
                return Some(message);
            }
        }
    })
}

#[test]
fn a_follower_that_was_cut_off_goes_on_where_it_was() {
    let server = demo::fixed_week();
    let mut first = messages(&server, "/v1/events/stream?after=0", None);
    let two: Vec<[String; 3]> = first.by_ref().take(2).collect();
    drop(first);
    assert_eq!(two[1][0], "2");
    assert_eq!(two[1][1], "setup.changed");
    let told: Value = serde_json::from_str(&two[1][2]).unwrap();
    assert_eq!(told["seq"], 2);
    let rest = messages(&server, "/v1/events/stream?site=harbour-bar", Some("2"));
    let line = json!({ "product": "tonic", "due": "2026-06-05T17:00:00+01:00", "litres": 5.0,
        "priority": 3, "kind": "booking" });
    let _ = server
        .put(&format!("{}/demand/extra", demo::SITE), &line)
        .expect(201);
    let ids: Vec<String> = rest.take(3).map(|[id, _, _]| id).collect();
    assert_eq!(ids, ["3", "4", "5"]);
    let bad = server.request(Method::GET, "/v1/events/stream");
    let bad = server.send(bad.header("Last-Event-ID", "x"));
    let _ = bad.problem(400, "bad_header");
}

#[test]
fn the_search_for_a_plan_is_followed_to_its_end() {
    let server = demo::fixed_week();
    let plan = server.post(&format!("{}/plans", demo::SITE), &demo::week());
    let _ = plan.expect(202);
    let path = format!("{}/progress", plan.header("location"));
    let told: Vec<[String; 3]> = messages(&server, &path, None).collect();
    let last = told.last().unwrap();
    assert_eq!(last[1], "end");
    let step: Value = serde_json::from_str(&last[2]).unwrap();
    assert_eq!(step["state"], "done");
    assert!(step["progress"]["best"].is_number(), "{step}");
    assert!(told[..told.len() - 1].iter().all(|m| m[1] == "progress"));
}
