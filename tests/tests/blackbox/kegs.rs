//! Kegs with serial numbers through the stock ledger, and through work.

use serde_json::{Value, json};
use tests::{Server, demo};

const STOCK: &str = "/v1/sites/harbour-bar/stock";
/// The asset type is the number of GS1's worked example of a check digit; serials are made up.
const ONE: &str = "06291041500213A117";
const TWO: &str = "06291041500213A118";

fn count(reference: &str, at: &str, kegs: &Value) -> Value {
    let mut count = demo::count_of(&demo::scenario());
    count["reference"] = json!(reference);
    count["at"] = json!(at);
    count["kegs"] = kegs.clone();
    count
}

fn clean(grai: &str) -> Value {
    json!({ "grai": grai, "keg_type": "keg-19", "state": "clean" })
}

fn moves(reference: &str, at: &str, (of, kegs): (&str, i32), named: &[&str]) -> Value {
    json!({
        "reference": reference, "at": at, "kegs": named,
        "change": { "of": of, "keg_type": "keg-19", "kegs": kegs },
    })
}

fn counted(server: &Server) {
    let named = json!([clean(ONE), clean(TWO)]);
    let at = "2026-06-01T07:00:00+01:00";
    let _ = server
        .post(&format!("{STOCK}/counts"), &count("kegs", at, &named))
        .expect(201);
}

fn refused(server: &Server, path: &str, body: &Value, field: &str, part: &str) {
    let problem = server
        .post(&format!("{STOCK}/{path}"), body)
        .problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], field, "{problem}");
    let message = problem["errors"][0]["message"].as_str().unwrap();
    assert!(message.contains(part), "{message}");
}

#[test]
fn a_keg_is_followed_by_its_serial_number() {
    let server = demo::fixed_week();
    let keg = format!("{STOCK}/kegs/{ONE}");
    let _ = server.get(&keg).problem(404, "unknown_keg");
    counted(&server);
    let out = moves(
        "lent",
        "2026-06-02T09:00:00+01:00",
        ("clean_kegs", -1),
        &[ONE],
    );
    let _ = server.post(&format!("{STOCK}/movements"), &out).expect(201);
    let back = moves(
        "back",
        "2026-06-04T09:00:00+01:00",
        ("dirty_kegs", 1),
        &[ONE],
    );
    let _ = server
        .post(&format!("{STOCK}/movements"), &back)
        .expect(201);

    let found = server.get(&keg).ok();
    assert_eq!(found["keg"]["state"], "dirty");
    assert_eq!(found["keg"]["certain"], true);
    assert_eq!(found["entries"].as_array().unwrap().len(), 3);
    let at = |instant: &str| {
        let list = server.get(&format!("{STOCK}/kegs?at={instant}")).ok();
        let kegs = list["kegs"].as_array().unwrap().clone();
        let one = kegs.iter().find(|keg| keg["grai"] == ONE);
        one.map(|keg| keg["state"].clone())
    };
    assert_eq!(at("2026-06-01T05:00:00Z"), None);
    assert_eq!(at("2026-06-01T12:00:00Z"), Some(json!("clean")));
    assert_eq!(at("2026-06-03T12:00:00Z"), Some(json!("gone")));
    assert_eq!(at("2026-06-05T12:00:00Z"), Some(json!("dirty")));
    let dirty = server.get(&format!("{STOCK}/kegs?state=dirty")).ok();
    assert_eq!(dirty["kegs"].as_array().unwrap().len(), 1);
    // The numbers are the same as if nobody had looked at serial numbers.
    let balance = server.get(STOCK).ok();
    assert_eq!(balance["stock"]["empty"][0]["clean"], 15);
}

#[test]
fn a_serial_number_that_contradicts_the_numbers_is_refused() {
    let server = demo::fixed_week();
    let at = "2026-06-01T07:00:00+01:00";
    let counts = |kegs: Value, field: &str, part: &str| {
        refused(&server, "counts", &count("odd", at, &kegs), field, part);
    };
    counts(
        json!([clean("06291041500214A117")]),
        "kegs[0].grai",
        "it would be 3",
    );
    counts(json!([clean(ONE), clean(ONE)]), "kegs[1].grai", "twice");
    let many: Vec<Value> = (0..17)
        .map(|n| clean(&format!("06291041500213B{n}")))
        .collect();
    counts(
        json!(many),
        "kegs[16]",
        "17 kegs of type keg-19 are named as clean, but 16",
    );
    let mut ready = clean(ONE);
    ready["state"] = json!("ready");
    counts(json!([ready]), "kegs[0].product", "must be stated");
    ready["state"] = json!("gone");
    counts(json!([ready]), "kegs[0].state", "that was found");
}

#[test]
fn a_serial_number_that_contradicts_the_books_is_refused() {
    let server = demo::fixed_week();
    let at = "2026-06-01T07:00:00+01:00";
    counted(&server);
    let moved = |change: (&str, i32), named: &[&str], field: &str, part: &str| {
        let body = moves("odd", "2026-06-02T09:00:00+01:00", change, named);
        refused(&server, "movements", &body, field, part);
    };
    moved(
        ("dirty_kegs", -1),
        &[ONE],
        "kegs[0]",
        "by the books this keg is clean",
    );
    moved(("clean_kegs", 1), &[ONE], "kegs[0]", "comes in");
    moved(
        ("clean_kegs", -1),
        &[ONE, TWO],
        "kegs",
        "2 are named, but it is about 1",
    );
    moved(("clean_kegs", -15), &[], "kegs", "name those that leave");
    let ice = json!({ "reference": "odd", "at": at, "kegs": [ONE],
        "change": { "of": "ice", "kg": 1.0 } });
    refused(&server, "movements", &ice, "kegs", "only where kegs moved");
    let kept = moves("work:x", at, ("clean_kegs", 1), &[]);
    refused(
        &server,
        "movements",
        &kept,
        "reference",
        "kept for entries of finished work",
    );

    let codes = json!({ "kegs": [{ "keg_type": "bottle-2", "grai": "06291041500213C1" }] });
    let stored = server.put("/v1/sites/harbour-bar/codes", &codes);
    if stored.status == 201 {
        let wrong = clean("06291041500213C1");
        let body = count("odd", "2026-06-03T07:00:00+01:00", &json!([wrong]));
        refused(
            &server,
            "counts",
            &body,
            "kegs[0].keg_type",
            "by the site's codes",
        );
    }
    assert_eq!(server.get(STOCK).ok()["movements"], 0);
}

fn first(server: &Server, path: &str, kind: &str) -> Value {
    let found = server.get(&format!("{path}/work?kind={kind}")).ok();
    found["work"][0].clone()
}

/// What the stock is then, by the numbers this test looks at.
fn numbers(server: &Server, at: &Value) -> Value {
    let at = at.as_str().unwrap().replace('+', "%2B");
    let balance = server.get(&format!("{STOCK}?at={at}")).ok();
    let stock = &balance["stock"];
    let sum = |list: &str| -> u64 {
        let kegs = stock[list].as_array().unwrap().iter();
        kegs.map(|lot| lot["kegs"].as_u64().unwrap_or(1)).sum()
    };
    let keg = stock["empty"].as_array().unwrap().iter();
    let keg = keg.clone().find(|k| k["keg_type"] == "keg-19").unwrap();
    json!({
        "clean": keg["clean"], "dirty": keg["dirty"],
        "filled": sum("filled"), "ready": sum("ready"), "work": balance["work"],
    })
}

#[test]
fn finished_work_is_booked_once_with_the_plans_amounts() {
    let server = demo::fixed_week();
    counted(&server);
    let path = demo::published(&server);
    let plan = path.rsplit('/').next().unwrap().to_owned();
    let fill = first(&server, &path, "fill");
    assert_eq!(fill["keg_type"], "keg-19");
    let (id, end) = (fill["id"].as_str().unwrap(), &fill["end"]);
    let kegs = fill["kegs"].as_u64().unwrap();
    let before = numbers(&server, end);
    let tell = |deed: &str, body: &Value| server.post(&format!("{path}/work/{id}/{deed}"), body);

    let wrong = json!({ "at": end, "named_kegs": ["06291041500214A117"] });
    let problem = tell("finish", &wrong).problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "named_kegs[0]");
    let named = json!({ "at": end, "named_kegs": [ONE] });
    let done = tell("finish", &named).ok();
    assert_eq!(done["named_kegs"], json!([ONE]));
    assert_eq!(done["kegs"], kegs);
    let after = numbers(&server, end);
    assert_eq!(
        after["clean"].as_u64(),
        Some(before["clean"].as_u64().unwrap() - kegs)
    );
    assert_eq!(
        after["filled"].as_u64(),
        Some(before["filled"].as_u64().unwrap() + kegs)
    );
    let booked = || {
        let told = server.get("/v1/events?type=stock.booked").ok();
        told["events"].as_array().unwrap().len()
    };
    assert_eq!(booked(), 1);
    // Told again: nothing more.
    let _ = tell("finish", &named).ok();
    assert_eq!(numbers(&server, end), after);
    assert_eq!(booked(), 1);
    let history = server.get(&format!("{STOCK}/kegs/{ONE}")).ok();
    assert_eq!(history["keg"]["state"], "filled");
    let entries = history["entries"].as_array().unwrap();
    let work = &entries.last().unwrap()["record"]["work"];
    assert_eq!(work["reference"], format!("work:{plan}/{id}"));
    assert_eq!(work["moved"]["kegs"], kegs);

    a_serial_number_in_the_trace(&server, &path, id);
    used_up_and_failed(&server, &path);
    what_is_skipped_changes_nothing(&server, &path);
    a_fresh_plan_starts_from_it(&server);
}

fn a_serial_number_in_the_trace(server: &Server, path: &str, item: &str) {
    let trace = server.get(&format!("{path}/work/{item}/trace")).ok();
    assert_eq!(trace["steps"][0]["named_kegs"], json!([ONE]));
    // A keg that is filled cannot be washed now.
    let wash = first(server, path, "wash");
    let id = wash["id"].as_str().unwrap();
    let body = json!({ "at": wash["end"], "named_kegs": [ONE] });
    let problem = server
        .post(&format!("{path}/work/{id}/finish"), &body)
        .problem(422, "invalid");
    let message = problem["errors"][0]["message"].as_str().unwrap();
    assert!(message.contains("filled in"), "{message}");
}

/// Gassing takes CO2 and syrup; a wash that fails leaves its kegs dirty.
fn used_up_and_failed(server: &Server, path: &str) {
    let co2 = |at: &Value| {
        let at = at.as_str().unwrap().replace('+', "%2B");
        let stock = server.get(&format!("{STOCK}?at={at}")).ok();
        stock["stock"]["co2_kg"].as_f64().unwrap()
    };
    let gas = first(server, path, "gas");
    let end = &gas["ready_at"];
    let before = co2(end);
    let id = gas["id"].as_str().unwrap();
    let _ = server
        .post(&format!("{path}/work/{id}/finish"), &json!({ "at": end }))
        .ok();
    let used = gas["kegs"].as_f64().unwrap() * gas["co2_g_each"].as_f64().unwrap() / 1000.0;
    assert!((before - co2(end) - used).abs() < 1e-6, "{used}");
    let wash = first(server, path, "wash");
    let before = numbers(server, &wash["end"]);
    let id = wash["id"].as_str().unwrap();
    let _ = server
        .post(
            &format!("{path}/work/{id}/fail"),
            &json!({ "at": wash["end"] }),
        )
        .ok();
    assert_eq!(numbers(server, &wash["end"]), before);
}

fn what_is_skipped_changes_nothing(server: &Server, path: &str) {
    let found = server.get(&format!("{path}/work?kind=wash")).ok();
    let wash = &found["work"][1];
    let before = numbers(server, &wash["end"]);
    let id = wash["id"].as_str().unwrap();
    let _ = server
        .post(
            &format!("{path}/work/{id}/skip"),
            &json!({ "at": wash["end"] }),
        )
        .ok();
    assert_eq!(numbers(server, &wash["end"]), before);
}

/// A plan made afresh starts from what work has made, and a count puts it right.
fn a_fresh_plan_starts_from_it(server: &Server) {
    let late = json!("2026-06-07T06:00:00+01:00");
    let body = json!({ "start": late, "days": 1, "grid_minutes": 30 });
    let reply = server.post(&format!("{}/plans", demo::SITE), &body);
    let _ = reply.expect(202);
    let path = reply.header("location").to_owned();
    let at = late.as_str().unwrap().replace('+', "%2B");
    let books = server.get(&format!("{STOCK}?at={at}")).ok();
    let scenario = server.get(&format!("{path}/scenario")).ok();
    for list in ["empty", "filled", "ready"] {
        assert_eq!(scenario["stock"][list], books["stock"][list], "{list}");
    }
    assert_eq!(scenario["stock"]["co2_kg"], books["stock"]["co2_kg"]);
    assert_eq!(server.poll(&path, demo::ended)["state"], "done");
    let before = numbers(server, &late);
    // The fill, the gassing, and a wash that failed, which has nothing to book.
    assert_eq!(before["work"], 2);
    let _ = server
        .post(
            &format!("{STOCK}/counts"),
            &count("sunday", "2026-06-07T05:00:00+01:00", &json!([])),
        )
        .expect(201);
    assert_eq!(numbers(server, &late)["work"], 0);
    assert_eq!(server.get(&format!("{STOCK}/kegs/{ONE}")).status, 200);
}
