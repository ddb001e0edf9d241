//! The published contract is the one the code makes, and it is complete.

use serde_json::Value;
use tests::{Server, fizzwright};

fn contract() -> Value {
    fizzwright(&["openapi"], b"").well().json()
}

/// The same with what is shared put back into each operation.
fn whole() -> Value {
    tests::contract::put_back(contract())
}

#[test]
fn the_published_file_is_current() {
    let file = tests::here().join("../openapi/openapi.json");
    let published = std::fs::read_to_string(file).unwrap();
    let made = fizzwright(&["openapi"], b"").well().out;
    assert!(
        published == made,
        "openapi/openapi.json is out of date: `fizzwright openapi > openapi/openapi.json`"
    );
}

#[test]
fn the_server_publishes_the_same() {
    assert_eq!(Server::empty().get("/openapi.json").ok(), contract());
}

fn operations(contract: &Value) -> Vec<(String, &Value)> {
    let paths = contract["paths"].as_object().unwrap();
    let mut all = Vec::new();
    for (path, item) in paths {
        for (method, operation) in item.as_object().unwrap() {
            all.push((format!("{method} {path}"), operation));
        }
    }
    all
}

#[test]
fn every_operation_is_described_and_lists_its_problems() {
    let contract = whole();
    let mut names = Vec::new();
    for (place, operation) in operations(&contract) {
        names.push(operation["operationId"].as_str().unwrap().to_owned());
        assert!(operation["summary"].is_string(), "{place}: no summary");
        assert_eq!(operation["tags"].as_array().unwrap().len(), 1, "{place}");
        for parameter in operation["parameters"].as_array().unwrap_or(&Vec::new()) {
            assert!(parameter["description"].is_string(), "{place}: {parameter}");
            let schema = &parameter["schema"];
            assert!(
                !parameter["example"].is_null() || !schema["example"].is_null(),
                "{place}: no example: {parameter}"
            );
        }
        let responses = operation["responses"].as_object().unwrap();
        for (status, response) in responses {
            let text = response["description"].as_str().unwrap_or_default();
            assert!(!text.is_empty(), "{place}: {status} is not described");
            let problem = !response["content"]["application/problem+json"].is_null();
            assert_eq!(problem, status.as_str() >= "400", "{place}: {status}");
        }
        // Lists that are part of the program can be asked for in no wrong way.
        let fixed = ["/v1/problems", "/v1/calculations", "/v1/limits"];
        if place.contains("/v1/") && !fixed.iter().any(|list| place.ends_with(list)) {
            assert!(
                responses.keys().any(|s| s.as_str() >= "400"),
                "{place}: no problems"
            );
        }
    }
    let all = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), all, "an operation id repeats");
}

#[test]
fn every_field_is_described() {
    let contract = contract();
    let mut missing = Vec::new();
    for (name, schema) in contract["components"]["schemas"].as_object().unwrap() {
        undescribed(name, schema, &mut missing);
    }
    assert!(missing.is_empty(), "not described: {missing:#?}");
}

/// Collects the properties without a description, here and below.
fn undescribed(place: &str, schema: &Value, missing: &mut Vec<String>) {
    for (field, property) in schema["properties"].as_object().into_iter().flatten() {
        let here = format!("{place}.{field}");
        // The tag of a variant says which one it is.
        let tag = property["enum"]
            .as_array()
            .is_some_and(|values| values.len() == 1);
        if !tag && !described(property) {
            missing.push(here.clone());
        }
        undescribed(&here, property, missing);
    }
    for list in ["allOf", "oneOf"] {
        for part in schema[list].as_array().into_iter().flatten() {
            undescribed(place, part, missing);
        }
    }
}

/// Whether a property says what it is, itself or in each of its shapes other than null.
fn described(property: &Value) -> bool {
    let shapes = property["oneOf"].as_array().into_iter().flatten();
    let mut shapes = shapes.filter(|shape| shape["type"] != "null").peekable();
    property["description"].is_string()
        || shapes.peek().is_some() && shapes.all(|shape| shape["description"].is_string())
}

#[test]
fn every_reference_leads_somewhere() {
    let contract = contract();
    let text = contract.to_string();
    for part in text.split("\"#/components/schemas/").skip(1) {
        let name = part.split('"').next().unwrap();
        assert!(
            contract["components"]["schemas"][name].is_object(),
            "{name}"
        );
    }
}
