//! Codes other systems know things by, over HTTP.

use serde_json::{Value, json};
use tests::demo;

const CODES: &str = "/v1/sites/harbour-bar/codes";

fn codes() -> Value {
    json!({
        "products": [{ "product": "tonic", "gtin": "6291041500213" }],
        "kegs": [{ "keg_type": "keg-19", "grai": "06291041500213A117" }],
        "materials": [{ "material": "quinine-syrup", "unit": "LTR" }],
    })
}

#[test]
fn codes_are_stored_and_read_again() {
    let server = demo::fixed_week();
    let none = json!({ "products": [], "kegs": [], "materials": [] });
    assert_eq!(server.get(CODES).ok(), none);
    let stored = server.put(CODES, &codes());
    assert_eq!(stored.expect(201), codes());
    let read = server.get(CODES);
    assert_eq!(read.ok(), codes());
    assert_eq!(read.header("etag"), "\"1\"");
    let _ = server
        .put(CODES, &none)
        .problem(428, "precondition_required");
    let _ = server
        .put_if(CODES, "\"2\"", &none)
        .problem(412, "changed_since");
    assert_eq!(server.put_if(CODES, "\"1\"", &none).ok(), none);
}

#[test]
fn what_is_wrong_with_a_code_is_named() {
    let server = demo::fixed_week();
    let check = |pointer: &str, value: Value, field: &str, part: &str| {
        let mut wrong = codes();
        *wrong.pointer_mut(pointer).unwrap() = value;
        let problem = server.put(CODES, &wrong).problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], field, "{problem}");
        let message = problem["errors"][0]["message"].as_str().unwrap();
        assert!(message.contains(part), "{message}");
    };
    let (gtin, grai) = ("/products/0/gtin", "/kegs/0/grai");
    check(
        gtin,
        json!("6291041500214"),
        "products[0].gtin",
        "it would be 3",
    );
    check(
        gtin,
        json!("12"),
        "products[0].gtin",
        "8, 12, 13 or 14 digits",
    );
    check(
        grai,
        json!("06291041500214A117"),
        "kegs[0].grai",
        "it would be 3",
    );
    check(
        "/materials/0/unit",
        json!("KILO"),
        "materials[0].unit",
        "KGM",
    );
    check(
        "/products/0/product",
        json!("cola"),
        "products[0].product",
        "no product",
    );
    let twice = json!([codes()["kegs"][0], codes()["kegs"][0]]);
    check("/kegs", twice, "kegs[1].grai", "another keg");
}
