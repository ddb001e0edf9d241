//! The board's larger forms: what if, ready by, a full count, the parts of the setup, webhooks.

use std::time::Duration;

use serde_json::Value;
use tests::{Reply, Server, demo};

use super::board::{csrf, open, send, signed_in};

const BOARD: &str = "/board/harbour-bar";

/// Sends a form of somebody who is signed in.
fn form(server: &Server, cookie: &str, path: &str, fields: &[(&str, &str)]) -> Reply {
    let own = csrf(&open(server, cookie, &format!("{BOARD}/today")).text);
    let mut all = vec![("csrf", own.as_str())];
    all.extend_from_slice(fields);
    send(server, cookie, &format!("{BOARD}/{path}"), &all)
}

/// The value of a hidden field, as a browser would send it.
fn hidden(page: &str, name: &str) -> String {
    let after = page.split(&format!("name=\"{name}\" value=\"")).nth(1);
    let value = after.unwrap_or_else(|| panic!("no {name} in {page}"));
    let value = value.split('"').next().unwrap();
    value.replace("&#34;", "\"").replace("&#38;", "&")
}

#[test]
fn a_plan_stands_beside_a_what_if_and_never_beside_itself() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "plan");
    let reply = server.post(&format!("{}/plans", demo::SITE), &demo::week());
    let plan = server.poll(reply.header("location"), |plan| {
        plan["state"] != "queued" && plan["state"] != "running"
    });
    let id = plan["id"].as_str().unwrap();
    let compare = format!("plans/{id}/compare");
    let page = open(&server, &cookie, &format!("{BOARD}/{compare}")).text;
    assert!(page.contains("no other plan yet"), "{page}");
    assert!(!page.contains(&format!("value=\"{id}\"")), "{page}");
    let same = open(&server, &cookie, &format!("{BOARD}/{compare}?with={id}"));
    assert_eq!(same.status, 422, "{}", same.text);
    let ask = format!("plans/{id}/what-if");
    for (fields, part) in [
        (&[("kegs", "")][..], "at least one thing"),
        (&[("ice", "lots")], "lots found"),
        (&[("patch", "{\"setup\": 1}"), ("kegs", "")], "patch"),
    ] {
        let reply = form(&server, &cookie, &ask, fields);
        assert_eq!(reply.status, 422, "{}", reply.text);
        assert!(reply.text.contains(part), "no {part}: {}", reply.text);
    }
    let asked = [
        ("out", "pot large-pot"),
        ("demand", "-10"),
        ("product", "tonic"),
        ("keg_type", "keg-19"),
    ];
    let reply = form(&server, &cookie, &ask, &asked);
    assert_eq!(reply.status, 303, "{}", reply.text);
    let answer = reply.header("location").to_owned();
    let question = answer.rsplit('/').next().unwrap();
    let found = server.poll(&format!("/v1/questions/{question}"), |question| {
        question["state"] != "queued" && question["state"] != "running"
    });
    assert_eq!(found["state"], "done", "{found}");
    let page = open(&server, &cookie, &answer).text;
    let cases = found["what_if"]["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 2);
    for case in cases {
        let label = case["label"].as_str().unwrap();
        assert!(page.contains(label), "no {label} in {page}");
    }
    assert!(page.contains("without Large pot"), "{page}");
    // It is asked about the plan as it was made, so its figures are the plan's.
    let served = &found["what_if"]["base"]["verdict"]["served_l"];
    let planned = &plan["result"]["verdict"]["served_l"];
    assert!(
        (served.as_f64().unwrap() - planned.as_f64().unwrap()).abs() < 1.0,
        "{served} {planned}"
    );
}

#[test]
fn what_can_be_ready_is_told_by_product_and_in_whole_sets() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "read");
    let when = "by=2026-06-03T17:00&start=2026-06-01T06:00";
    let page = open(
        &server,
        &cookie,
        &format!("{BOARD}/ready?{when}&product=*each"),
    );
    assert_eq!(page.status, 200, "{}", page.text);
    let products = demo::scenario()["setup"]["products"]
        .as_array()
        .unwrap()
        .len();
    assert_eq!(page.text.matches("class=\"giant\"").count(), products);
    let query = format!("{when}&product=*mix&mix+tonic=2&mix+plain-soda=1");
    let page = open(&server, &cookie, &format!("{BOARD}/ready?{query}"));
    assert_eq!(page.status, 200, "{}", page.text);
    let after = page.text.split("class=\"giant\">").nth(1).unwrap();
    let sets: u64 = after.split(' ').next().unwrap().parse().unwrap();
    assert!(
        sets > 0 && page.text.contains(&format!("{} kegs", sets * 3)),
        "{}",
        page.text
    );
    let none = open(
        &server,
        &cookie,
        &format!("{BOARD}/ready?{when}&product=*mix"),
    );
    assert_eq!(none.status, 422, "{}", none.text);
    assert!(none.text.contains("make a set"), "{}", none.text);
}

#[test]
fn a_count_covers_what_is_filled_and_on_tap_and_tells_what_it_put_right() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "floor");
    let page = open(&server, &cookie, &format!("{BOARD}/stock")).text;
    let rows = hidden(&page, "rows");
    let tapped: Value = serde_json::from_str(&rows).unwrap();
    assert!(!tapped["on_tap"].as_array().unwrap().is_empty(), "{rows}");
    let count = [
        ("rows", rows.as_str()),
        ("at", "2026-06-02T08:00"),
        ("ice_kg", "41"),
        ("co2_kg", "20"),
        ("clean keg-19", "9"),
        ("dirty keg-19", "2"),
        ("tap 0", "1,5"),
        ("filled new", "3"),
        ("filled new temperature", "6"),
        ("filled new keg_type", "keg-19"),
        ("filled new store", "walk-in"),
    ];
    let reply = form(&server, &cookie, "stock/count", &count);
    assert_eq!(reply.status, 303, "{}", reply.text);
    let stock = server.get(&format!("{}/stock", demo::SITE)).ok()["stock"].clone();
    assert_eq!(stock["filled"][0]["kegs"], 3, "{stock}");
    assert_eq!(stock["on_tap"][0]["litres"], 1.5, "{stock}");
    let page = open(&server, &cookie, &format!("{BOARD}/stock")).text;
    for part in [
        "What the last count put right",
        "filled 19 L steel keg",
        "on tap in",
    ] {
        assert!(page.contains(part), "no {part} in {page}");
    }
    let bare = [("filled new", "3"), ("at", "2026-06-02T09:00")];
    let refused = form(&server, &cookie, "stock/count", &bare);
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert!(refused.text.contains("temperature"), "{}", refused.text);
}

/// Browsers write no seconds. What came in this minute is part of what is counted in this minute, and
/// what was told a moment ago can be told to have failed.
#[test]
fn what_is_told_within_the_minute_is_told_now() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "plan");
    let came = [("way", "in"), ("amount", "55"), ("what", "ice")];
    let reply = form(&server, &cookie, "stock/receive", &came);
    assert_eq!(reply.status, 303, "{}", reply.text);
    let page = open(&server, &cookie, &format!("{BOARD}/stock")).text;
    let (rows, shown) = (hidden(&page, "rows"), hidden(&page, "at shown"));
    let count = [
        ("rows", rows.as_str()),
        ("at", shown.as_str()),
        ("at shown", shown.as_str()),
        ("ice_kg", "55"),
        ("co2_kg", "20"),
    ];
    let reply = form(&server, &cookie, "stock/count", &count);
    assert_eq!(reply.status, 303, "{}", reply.text);
    let stock = server.get(&format!("{}/stock", demo::SITE)).ok();
    assert_eq!(stock["stock"]["ice_kg"], 55.0, "{stock}");
}

fn setup(server: &Server) -> Value {
    server.get(&format!("{}/setup", demo::SITE)).ok()["setup"].clone()
}

fn kept(reply: &Reply) {
    assert_eq!(reply.status, 303, "{}", reply.text);
}

#[test]
fn a_product_and_a_shift_are_changed_by_one_after_the_other() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "plan");
    // A sweeter tonic.
    let sweeter = [("/setup/products/1/sugar_brix", "9,5"), ("revision", "1")];
    kept(&form(&server, &cookie, "setup/products", &sweeter));
    assert_eq!(setup(&server)["products"][1]["sugar_brix"], 9.5);
    // Somebody who had the page open from before is told.
    let late = form(&server, &cookie, "setup/products", &sweeter);
    assert_eq!(late.status, 412, "{}", late.text);
    // Days are ticked.
    let days = "/setup/crew/shifts/0/days";
    let shown = format!("shown {days}");
    let crew = [
        (shown.as_str(), "1"),
        (days, "sat"),
        (days, "sun"),
        ("revision", "2"),
    ];
    kept(&form(&server, &cookie, "setup/crew", &crew));
    let found = setup(&server)["crew"]["shifts"][0]["days"].clone();
    let found = found.as_array().unwrap().iter();
    let mut found: Vec<&str> = found.filter_map(Value::as_str).collect();
    found.sort_unstable();
    assert_eq!(found, ["sat", "sun"]);
    // What it means is shown, and nothing is stored.
    let look = [("/setup/pots/0/power_w", "9000"), ("only_look", "yes")];
    let physics = form(&server, &cookie, "setup/pots", &look);
    assert!(
        physics.text.contains("on the heater for"),
        "{}",
        physics.text
    );
    assert_ne!(setup(&server)["pots"][0]["power_w"], 9000.0);
}

#[test]
fn a_product_that_is_still_wanted_or_there_is_not_taken_out() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "plan");
    let products = setup(&server)["products"].clone();
    let id = products[1]["id"].as_str().unwrap();
    let line = serde_json::json!({ "product": id, "litres": 5.0,
        "due": "2027-06-05T17:00:00+01:00", "priority": 3, "kind": "booking" });
    let path = format!("{}/demand/next-year", demo::SITE);
    let _ = server.put(&path, &line).expect(201);
    let out = form(
        &server,
        &cookie,
        "setup/products",
        &[("out", "/setup/products/1")],
    );
    assert_eq!(out.status, 200, "{}", out.text);
    let was = hidden(&out.text, "was");
    let without = [("was", was.as_str()), ("revision", "1")];
    let refused = form(&server, &cookie, "setup/products", &without);
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert!(
        refused
            .text
            .contains("lines of demand from now on that name it: 1;"),
        "{}",
        refused.text
    );
    assert_eq!(setup(&server)["products"], products);
}

#[test]
fn a_pot_is_added_and_taken_out_and_what_is_used_stays() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "plan");
    let pots = setup(&server)["pots"].as_array().unwrap().len();
    // It is shown first, then it is stored.
    let more = form(&server, &cookie, "setup/pots", &[("add", "/setup/pots")]);
    assert_eq!(more.status, 200, "{}", more.text);
    let was = hidden(&more.text, "was");
    let place = format!("/setup/pots/{pots}");
    let (id, name) = (format!("{place}/id"), format!("{place}/name"));
    let third = [
        ("was", was.as_str()),
        ("revision", "1"),
        (id.as_str(), "third-pot"),
        (name.as_str(), "Third pot"),
    ];
    kept(&form(&server, &cookie, "setup/pots", &third));
    assert_eq!(setup(&server)["pots"][pots]["name"], "Third pot");
    // Without an id it is none, and the field is named.
    let nameless = [("was", was.as_str()), ("revision", "2")];
    let refused = form(&server, &cookie, "setup/pots", &nameless);
    assert_eq!(refused.status, 422, "{}", refused.text);
    let named = format!("setup.pots[{pots}].id");
    assert!(refused.text.contains(&named), "{}", refused.text);
    // And out again.
    let out = form(&server, &cookie, "setup/pots", &[("out", place.as_str())]);
    let was = hidden(&out.text, "was");
    let without = [("was", was.as_str()), ("revision", "2")];
    kept(&form(&server, &cookie, "setup/pots", &without));
    assert_eq!(setup(&server)["pots"].as_array().unwrap().len(), pots);
    let first = [("out", "/setup/keg_types/0")];
    let used = form(&server, &cookie, "setup/kegs", &first);
    let was = hidden(&used.text, "was");
    let without = [("was", was.as_str()), ("revision", "3")];
    let refused = form(&server, &cookie, "setup/kegs", &without);
    assert_eq!(refused.status, 422, "{}", refused.text);
}

#[test]
fn webhooks_are_made_tried_again_and_taken_away() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "admin");
    let wrong = form(
        &server,
        &cookie,
        "admin/webhooks",
        &[("url", "http://till.example")],
    );
    assert_eq!(wrong.status, 422, "{}", wrong.text);
    let fields = [
        ("url", "https://till.example/told"),
        ("note", "The till"),
        ("family stock", "yes"),
        ("here", "yes"),
    ];
    let made = form(&server, &cookie, "admin/webhooks", &fields);
    assert_eq!(made.status, 200, "{}", made.text);
    assert!(made.text.contains("<code>whsec_"), "{}", made.text);
    let page = open(&server, &cookie, &format!("{BOARD}/admin")).text;
    assert!(
        !page.contains("whsec_") && page.contains("stock, here"),
        "{page}"
    );
    let hook = server.get("/v1/webhooks").ok()["webhooks"][0].clone();
    assert_eq!(hook["site"], "harbour-bar");
    let id = hook["id"].as_str().unwrap().to_owned();
    let came = [("what", "ice"), ("way", "in"), ("amount", "5")];
    assert_eq!(form(&server, &cookie, "stock/receive", &came).status, 303);
    let log = format!("/v1/webhooks/{id}/deliveries");
    let mut sent = Value::Null;
    for _ in 0..200 {
        sent = server.get(&log).ok()["deliveries"][0].clone();
        if sent["attempts"].as_i64().unwrap_or(0) > 0 {
            break;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    let delivery = sent["id"].as_str().unwrap().to_owned();
    let again = [("hook", id.as_str()), ("delivery", delivery.as_str())];
    assert_eq!(
        form(&server, &cookie, "admin/webhooks/resend", &again).status,
        303
    );
    let renewed = form(&server, &cookie, "admin/webhooks/secret", &[("hook", &id)]);
    assert!(renewed.text.contains("<code>whsec_"), "{}", renewed.text);
    assert_eq!(
        form(&server, &cookie, "admin/webhooks/remove", &[("hook", &id)]).status,
        303
    );
    assert!(
        server.get("/v1/webhooks").ok()["webhooks"]
            .as_array()
            .unwrap()
            .is_empty()
    );
    let gone = form(&server, &cookie, "admin/webhooks/remove", &[("hook", &id)]);
    assert_eq!(gone.status, 404, "{}", gone.text);
}
