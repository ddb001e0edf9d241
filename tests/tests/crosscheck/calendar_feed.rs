//! Calendar feeds, read by a library that others wrote.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::{Value, json};
use tests::{Server, demo};

use crate::python;

fn feed(server: &Server, body: &Value) -> String {
    let made = server.post(&format!("{}/calendars", demo::SITE), body);
    let made = made.expect(201);
    made["path"].as_str().unwrap().to_owned()
}

/// The events of calendars, as the library reads them.
fn read(server: &Server, feeds: &[(&str, &str)]) -> Value {
    let folder = tempfile::tempdir().unwrap();
    for (name, path) in feeds {
        let reply = server.get(path);
        assert_eq!(reply.status, 200, "{}", reply.text);
        assert!(reply.header("content-type").starts_with("text/calendar"));
        let file: &Path = folder.path();
        std::fs::write(file.join(format!("{name}.ics")), &reply.text).unwrap();
    }
    let said = python::run("calendar_feed.py", folder.path(), &[]);
    serde_json::from_str(&said.unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

fn by_uid(events: &Value) -> BTreeMap<String, Value> {
    let events = events.as_array().unwrap().iter();
    events
        .map(|event| {
            assert_eq!(event["errors"], json!([]), "{event}");
            assert!(event["start"].as_str() < event["end"].as_str(), "{event}");
            (event["uid"].as_str().unwrap().to_owned(), event.clone())
        })
        .collect()
}

#[test]
fn a_moved_item_moves_in_the_calendar() {
    let server = demo::fixed_week();
    let all = feed(&server, &json!({ "note": "Everybody" }));
    let kettle = feed(&server, &json!({ "role": "kettle" }));
    assert_eq!(read(&server, &[("all", &all)])["all"], json!([]));
    let path = demo::published(&server);
    let made = server.get(&path).ok();
    let before = read(&server, &[("all", &all), ("kettle", &kettle)]);
    let before_all = by_uid(&before["all"]);
    let work = made["result"]["work"].as_array().unwrap();
    let of = |kind: &str| work.iter().filter(|item| item["kind"] == kind).count();
    // A pot is gone to again when it is chilled, kegs that rest when they are turned down.
    let again = |events: &BTreeMap<String, Value>, visit: &str| {
        let visit = format!(".{visit}.");
        events.keys().filter(|uid| uid.contains(&visit)).count()
    };
    let (chilled, turned_down) = (again(&before_all, "chill"), again(&before_all, "turn-down"));
    let kg = |item: &Value, key: &str| item[key].as_f64().unwrap_or(0.0);
    let iced = |item: &&Value| kg(item, "ice_in_kg") + kg(item, "ice_bath_kg") > 0.0;
    assert_eq!(chilled, work.iter().filter(iced).count());
    assert!((1..=of("gas")).contains(&turned_down));
    assert_eq!(before_all.len(), work.len() + chilled + turned_down);
    let ours = by_uid(&before["kettle"]);
    assert_eq!(ours.len(), of("boil") + of("fill") + again(&ours, "chill"));

    // A boil is so late that what rests on it cannot stay: it moves, and keeps its UID.
    let boils: Vec<&Value> = work.iter().filter(|item| item["kind"] == "boil").collect();
    let late = json!({ "now": boils[1]["start"],
        "late": [{ "item": boils[1]["id"], "minutes": 120 }] });
    let second = server.post(&format!("{path}/replan"), &late);
    let _ = second.expect(202);
    let second = second.header("location").to_owned();
    assert_eq!(server.poll(&second, demo::ended)["state"], "done");
    let _ = server.post(&format!("{second}/publish"), &json!({})).ok();
    let after = read(&server, &[("all", &all)]);
    let after_all = by_uid(&after["all"]);
    let moved = after_all.iter().filter(|(uid, event)| {
        let earlier = before_all.get(*uid);
        earlier.is_some_and(|earlier| earlier["start"] != event["start"])
    });
    assert!(moved.count() > 0);
    let kept = after_all.keys().filter(|uid| before_all.contains_key(*uid));
    assert!(kept.count() * 2 > before_all.len());
    let boil = format!("{}.", boils[0]["id"].as_str().unwrap());
    let done = after_all.keys().any(|uid| uid.starts_with(&boil));
    assert!(done, "what was done before is still there");
    assert!(after_all.values().all(|event| event["sequence"] == 2));

    // Revoked, it leads nowhere.
    let feeds = server.get(&format!("{}/calendars", demo::SITE)).ok();
    assert!(!feeds.to_string().contains(".ics"), "{feeds}");
    let id = feeds["calendars"][0]["id"].as_str().unwrap();
    let gone = server.delete(&format!("{}/calendars/{id}", demo::SITE));
    assert_eq!(gone.status, 204);
    let _ = server.get(&all).problem(404, "unknown_calendar");
    assert_eq!(server.get(&kettle).status, 200);
}
