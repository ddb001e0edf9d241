//! A plan's life on the floor: published, worked by, replanned from what has happened, traced.

use serde_json::{Value, json};
use tests::{Server, demo};

pub(super) fn items(server: &Server, path: &str, kind: &str) -> Vec<Value> {
    let found = server.get(&format!("{path}/work?kind={kind}")).ok();
    found["work"].as_array().unwrap().clone()
}

fn id_of(path: &str) -> &str {
    path.rsplit('/').next().unwrap()
}

#[test]
fn a_plan_is_published_and_worked_by() {
    let server = demo::fixed_week();
    let path = demo::planned(&server);
    let boil = &items(&server, &path, "boil")[0];
    assert_eq!(boil["state"], "planned");
    let at = format!("{path}/work/{}", boil["id"].as_str().unwrap());
    let start = json!({ "at": boil["start"], "by": "Ines", "readings": [
        { "kind": "temperature", "value": 59.0, "unit": "f", "subject": "tap water" },
    ] });
    let _ = server
        .post(&format!("{at}/start"), &start)
        .problem(409, "not_published");
    let nothing = format!("{}/published", demo::SITE);
    let _ = server.get(&nothing).problem(404, "nothing_published");

    let published = server
        .post(&format!("{path}/publish"), &json!({ "by": "Rui" }))
        .ok();
    assert_eq!(published["number"], 1);
    let again = server.post(&format!("{path}/publish"), &json!({})).ok();
    assert_eq!(again, published);
    assert_eq!(server.get(&nothing).ok(), published);

    let begun = server.post(&format!("{at}/start"), &start).ok();
    assert_eq!(begun["state"], "started");
    assert_eq!(begun["started_at"], boil["start"]);
    assert_eq!(begun["readings"][0]["by"], "Ines");
    // Sent twice, and once more without the time: nothing new.
    assert_eq!(server.post(&format!("{at}/start"), &start).ok(), begun);
    let bare = server.post(&format!("{at}/start"), &json!({})).ok();
    assert_eq!(bare, begun);
    let _ = server
        .post(&format!("{at}/skip"), &json!({}))
        .problem(409, "wrong_work_state");
    let early = json!({ "at": "2026-05-01T00:00:00Z" });
    let problem = server
        .post(&format!("{at}/finish"), &early)
        .problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "at");

    measured(&server, &at, boil);
    let finished = json!({ "at": boil["end"] });
    assert_eq!(
        server.post(&format!("{at}/finish"), &finished).ok()["state"],
        "finished"
    );
    let _ = server
        .post(&format!("{at}/start"), &start)
        .problem(409, "wrong_work_state");
    let _ = server
        .get(&format!("{path}/work/boil-999"))
        .problem(404, "unknown_work");
    let over = server.get(&format!("{path}/work?state=finished")).ok();
    assert_eq!(over["work"].as_array().unwrap().len(), 1);
    let floor = server.get(&format!("{}/work", demo::SITE)).ok();
    assert_eq!(floor["published"]["plan"], id_of(&path));
    let readings = server.get(&format!("{}/readings?limit=2", demo::SITE)).ok();
    assert_eq!(readings["readings"].as_array().unwrap().len(), 2);
    assert!(readings["next"].is_string(), "{readings}");
    traced(&server, &path);
}

/// Readings are logged beside those that came with the start, in units that measure them.
fn measured(server: &Server, at: &str, boil: &Value) {
    let hot = json!({ "readings": [
        { "kind": "temperature", "value": 95.5, "unit": "c", "at": boil["end"] },
        { "kind": "volume", "value": 22.0, "unit": "l", "at": boil["end"] },
    ] });
    let logged = server.post(&format!("{at}/readings"), &hot).ok();
    assert_eq!(logged["readings"].as_array().unwrap().len(), 3);
    let wrong = json!({ "readings": [{ "kind": "temperature", "value": 3.0, "unit": "bar" }] });
    let problem = server
        .post(&format!("{at}/readings"), &wrong)
        .problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "readings[0].unit");
}

/// A keg on tap is followed back to its water, and that water on to the keg.
fn traced(server: &Server, path: &str) {
    let made = |tap: &&Value| tap["from"][0]["item"].is_string();
    let taps = items(server, path, "tap");
    let tap = taps.iter().rfind(made).unwrap();
    let trace = |item: &Value, direction: &str| {
        let item = item["id"].as_str().unwrap();
        let query = format!("{path}/work/{item}/trace?direction={direction}");
        server.get(&query).ok()["steps"].as_array().unwrap().clone()
    };
    let back = trace(tap, "back");
    let kinds: Vec<&str> = back.iter().map(|s| s["kind"].as_str().unwrap()).collect();
    for kind in ["tap", "gas", "fill", "boil"] {
        assert!(kinds.contains(&kind), "{kinds:?}");
    }
    assert_eq!(back[0]["id"], tap["id"]);
    let boil = back.iter().find(|step| step["kind"] == "boil").unwrap();
    let forward = trace(boil, "forward");
    assert!(forward.iter().any(|step| step["id"] == tap["id"]));
}

#[test]
fn what_has_happened_is_replanned_from() {
    let server = demo::fixed_week();
    let path = demo::planned(&server);
    let _ = server
        .post(&format!("{path}/replan"), &json!({}))
        .problem(409, "not_published");
    let _ = server.post(&format!("{path}/publish"), &json!({})).ok();
    // The first boil is over, the second fails while it is at it, a gassing goes on.
    let boils = items(&server, &path, "boil");
    let tell = |item: &Value, deed: &str, at: &Value| {
        let item = item["id"].as_str().unwrap();
        let report = json!({ "at": at });
        server
            .post(&format!("{path}/work/{item}/{deed}"), &report)
            .ok()
    };
    let now = boils[2]["start"].clone();
    let _ = tell(&boils[0], "finish", &boils[0]["end"]);
    let _ = tell(&boils[1], "start", &boils[1]["start"]);
    let _ = tell(&boils[1], "fail", &now);
    let early = json!({ "now": "2026-06-01T06:00:00+01:00" });
    let problem = server
        .post(&format!("{path}/replan"), &early)
        .problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "now");
    let unknown = json!({ "now": now, "late": [{ "item": "boil-99", "minutes": 30 }] });
    let problem = server
        .post(&format!("{path}/replan"), &unknown)
        .problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "late[0].item");

    let reply = server.post(&format!("{path}/replan"), &json!({ "now": now }));
    let queued = reply.expect(202);
    assert_eq!(queued["replans"], id_of(&path));
    let second = reply.header("location").to_owned();
    let plan = server.poll(&second, demo::ended);
    assert_eq!(plan["state"], "done", "{plan}");
    let replanning = &plan["replanning"];
    let because = replanning["because"].to_string();
    let failed = format!("{} failed", boils[1]["id"].as_str().unwrap());
    assert!(because.contains(&failed), "{because}");
    assert!(replanning["kept"].as_u64().unwrap() > 0, "{replanning}");

    let old = id_of(&path);
    published_in_its_place(&server, old, &second);
    // What the former plan still holds and never began cannot be done by it any more.
    let last = boils.last().unwrap()["id"].as_str().unwrap();
    let _ = server
        .post(&format!("{path}/work/{last}/start"), &json!({}))
        .problem(409, "not_published");

    let compared = server
        .get(&format!("{path}/comparison?with={}", id_of(&second)))
        .ok();
    assert!(!compared["changes"].as_array().unwrap().is_empty());
    let alike = server.get(&format!("{path}/comparison?with={old}")).ok();
    assert!(alike["changes"].as_array().unwrap().is_empty(), "{alike}");
    // Kegs that were made before are followed back across the two plans.
    traced(&server, &second);
}

/// A replanning is published in place of the plan it was made from, and of no other.
fn published_in_its_place(server: &Server, old: &str, second: &str) {
    let other = json!({ "replaces": id_of(second) });
    let _ = server
        .post(&format!("{second}/publish"), &other)
        .problem(409, "other_published");
    let right = json!({ "replaces": old });
    let published = server.post(&format!("{second}/publish"), &right).ok();
    assert_eq!(published["number"], 2);
    let history = server.get(&format!("{}/publications", demo::SITE)).ok();
    assert_eq!(history["publications"][0], published);
    assert!(history["publications"][1]["withdrawn_at"].is_string());
}
