//! The contract, as forms are made from it: what a field is called, its unit, where it is declared.

use std::sync::OnceLock;

use serde_json::Value;

use crate::contract;

/// The contract, read once.
pub(super) fn published() -> Option<&'static Value> {
    static CONTRACT: OnceLock<Option<Value>> = OnceLock::new();
    CONTRACT.get_or_init(|| contract::document().ok()).as_ref()
}

/// `time_to_target` as words: `Time to target`.
pub(super) fn words(name: &str) -> String {
    let text = name.replace(['_', '-'], " ");
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_ascii_uppercase());
    first.into_iter().chain(letters).collect()
}

/// A schema, followed to where it is declared.
pub(super) fn resolved<'a>(contract: &'a Value, schema: &'a Value) -> &'a Value {
    let schema = real(schema);
    match reference(schema) {
        Some(name) => &contract["components"]["schemas"][name],
        None => schema,
    }
}

/// A schema without the `null` it may be instead.
pub(super) fn real(schema: &Value) -> &Value {
    let one_of = schema["oneOf"].as_array();
    let null = |way: &&Value| way["type"] == "null";
    match one_of {
        Some(ways) if ways.iter().any(|way| null(&way)) => {
            ways.iter().find(|way| !null(way)).unwrap_or(schema)
        }
        _ => schema,
    }
}

/// The name a schema is declared by, if it is declared elsewhere.
pub(super) fn reference(schema: &Value) -> Option<&str> {
    schema["$ref"].as_str()?.rsplit('/').next()
}

/// What a field is for, in plain words.
pub(super) fn help(schema: &Value) -> String {
    let about = schema["description"].as_str();
    let about = about.or_else(|| real(schema)["description"].as_str());
    about
        .unwrap_or_default()
        .replace('`', "")
        .replace('\n', " ")
}

/// The unit a declaration ends with.
pub(super) fn unit(declared: &Value) -> &str {
    let said = declared["description"].as_str().unwrap_or_default();
    let found = said.rsplit_once("Unit: ");
    found.map_or("", |(_, unit)| unit.trim_end_matches('.'))
}

/// A field's name without the unit it ends with.
pub(super) fn label(name: &str, unit: &str) -> String {
    if unit.is_empty() {
        return words(name);
    }
    let known = model::units::Unit::ALL.iter().map(|unit| unit.name());
    let longest = known
        .filter(|unit| name.ends_with(&format!("_{unit}")))
        .max_by_key(|u| u.len());
    words(longest.map_or(name, |unit| &name[..name.len() - unit.len() - 1]))
}
