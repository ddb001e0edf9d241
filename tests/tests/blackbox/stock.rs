//! Stock over HTTP: an append-only ledger.

use serde_json::{Value, json};
use tests::demo;

const STOCK: &str = "/v1/sites/harbour-bar/stock";

fn ice(reference: &str, at: &str, kg: f64) -> Value {
    json!({ "reference": reference, "at": at, "change": { "of": "ice", "kg": kg } })
}

#[test]
fn movements_add_up_on_the_latest_count() {
    let server = demo::fixed_week();
    let moves = format!("{STOCK}/movements");
    assert_eq!(server.get(STOCK).ok()["stock"]["ice_kg"], 70.0);
    let _ = server
        .post(
            &moves,
            &ice("delivery-1", "2026-06-02T08:00:00+01:00", 40.0),
        )
        .expect(201);
    let clean = json!({
        "reference": "wash-1",
        "at": "2026-06-02T10:00:00+01:00",
        "change": { "of": "clean_kegs", "keg_type": "keg-19", "kegs": -6 },
    });
    let _ = server.post(&moves, &clean).expect(201);
    let now = server.get(STOCK).ok();
    assert_eq!(now["stock"]["ice_kg"], 110.0);
    assert_eq!(now["counted"], "monday-count");
    assert_eq!(now["movements"], 2);
    // A count after them starts afresh; one before them does not undo them.
    let mut count = demo::count_of(&demo::scenario());
    count["reference"] = json!("tuesday-count");
    count["at"] = json!("2026-06-02T09:00:00+01:00");
    let _ = server.post(&format!("{STOCK}/counts"), &count).expect(201);
    let now = server.get(STOCK).ok();
    assert_eq!(now["stock"]["ice_kg"], 70.0);
    assert_eq!(now["movements"], 1);
    let entries = server.get(&format!("{STOCK}/entries")).ok();
    assert_eq!(entries["entries"].as_array().unwrap().len(), 4);
}

#[test]
fn a_repeat_changes_nothing_and_a_reference_is_used_once() {
    let server = demo::fixed_week();
    let moves = format!("{STOCK}/movements");
    let delivery = ice("delivery-1", "2026-06-02T08:00:00+01:00", 40.1);
    let first = server.post(&moves, &delivery).expect(201);
    let again = server.post(&moves, &delivery).ok();
    assert_eq!(first, again);
    assert_eq!(server.get(STOCK).ok()["movements"], 1);
    let other = ice("delivery-1", "2026-06-02T08:00:00+01:00", 50.0);
    let _ = server.post(&moves, &other).problem(409, "reference_reused");
    let count = demo::count_of(&demo::scenario());
    let _ = server.post(&format!("{STOCK}/counts"), &count).ok();
}

#[test]
fn nothing_goes_below_zero() {
    let server = demo::fixed_week();
    let out = ice("melt", "2026-06-02T08:00:00+01:00", -70.5);
    let problem = server
        .post(&format!("{STOCK}/movements"), &out)
        .problem(409, "below_zero");
    assert!(
        problem["detail"]
            .as_str()
            .unwrap()
            .contains("-0.5 kg of ice"),
        "{problem}"
    );
    assert_eq!(server.get(STOCK).ok()["movements"], 0);
}

#[test]
fn what_was_counted_must_fit_the_setup() {
    let server = demo::fixed_week();
    let check = |pointer: &str, value: Value, field: &str| {
        let mut count = demo::count_of(&demo::scenario());
        count["reference"] = json!("another");
        *count.pointer_mut(pointer).unwrap() = value;
        let problem = server
            .post(&format!("{STOCK}/counts"), &count)
            .problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], field, "{problem}");
    };
    check(
        "/stock/ready/0/product",
        json!("cola"),
        "stock.ready[0].product",
    );
    check("/stock/ready/0/kegs", json!(500), "stock");
    check("/stock/ice_kg", json!(-1), "stock.ice_kg");
    check("/at", json!("2062-06-01T06:00:00Z"), "at");
    check("/reference", json!(" "), "reference");
}

#[test]
fn the_ledger_is_read_page_by_page() {
    let server = demo::fixed_week();
    for n in 0..4 {
        let delivery = ice(&format!("delivery-{n}"), "2026-06-02T08:00:00+01:00", 1.0);
        let _ = server
            .post(&format!("{STOCK}/movements"), &delivery)
            .expect(201);
    }
    let page = |after: i64| {
        server
            .get(&format!("{STOCK}/entries?limit=3&after={after}"))
            .ok()
    };
    let first = page(0);
    assert_eq!(first["entries"].as_array().unwrap().len(), 3);
    let rest = page(first["next"].as_i64().unwrap());
    assert_eq!(rest["entries"].as_array().unwrap().len(), 2);
    assert!(rest["next"].is_null());
}

#[test]
fn the_books_are_read_as_they_were_at_any_instant() {
    let server = demo::fixed_week();
    let moves = format!("{STOCK}/movements");
    for (name, at, kg) in [
        ("late", "2026-06-03T08:00:00+01:00", 5.0),
        ("early", "2026-06-02T08:00:00+01:00", 40.0),
    ] {
        let _ = server.post(&moves, &ice(name, at, kg)).expect(201);
    }
    let at = |instant: &str| server.get(&format!("{STOCK}?at={instant}"));
    assert_eq!(at("2026-06-02T06:59:59Z").ok()["stock"]["ice_kg"], 70.0);
    assert_eq!(at("2026-06-02T07:00:00Z").ok()["stock"]["ice_kg"], 110.0);
    assert_eq!(at("2026-06-09T00:00:00Z").ok()["stock"]["ice_kg"], 115.0);
    let _ = at("2026-06-01T04:59:59Z").problem(404, "no_stock");
    let _ = at("yesterday").problem(400, "bad_query");
}

#[test]
fn a_count_tells_what_it_put_right() {
    let server = demo::fixed_week();
    let delivery = ice("delivery-1", "2026-06-02T08:00:00+01:00", 40.0);
    let _ = server
        .post(&format!("{STOCK}/movements"), &delivery)
        .expect(201);
    let mut count = demo::count_of(&demo::scenario());
    count["reference"] = json!("tuesday-count");
    count["at"] = json!("2026-06-02T09:00:00+01:00");
    count["stock"]["ice_kg"] = json!(104.0);
    let seq = server.post(&format!("{STOCK}/counts"), &count).expect(201)["seq"].clone();
    let put_right = |seq: &Value| server.get(&format!("{STOCK}/counts/{seq}/corrections"));
    let found = put_right(&seq).ok();
    assert_eq!(found["counted"], "tuesday-count");
    assert_eq!(
        found["corrections"],
        json!([{ "what": "ice", "expected": 110.0, "counted": 104.0, "difference": -6.0,
            "unit": "kg" }])
    );
    assert_eq!(put_right(&json!(1)).ok()["corrections"], json!([]));
    let _ = put_right(&json!(2)).problem(404, "unknown_count");
    let _ = put_right(&json!(99)).problem(404, "unknown_count");
}
