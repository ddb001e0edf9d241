//! The published contract, made from the same list of handlers the server runs.

mod common_responses;
mod instants;
mod links;
mod one_of;
mod shared;

use actix_web::App;
use serde_json::{Map, Value};
use utoipa::OpenApi;
use utoipa_actix_web::AppExt;

use crate::domain::access::Scope;
use crate::http::ANYWHERE;
use crate::problem::ProblemDocument;
use crate::routes;

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Fizzwright",
        description = "Plans a soda program's week: what to boil, ice, fill, gas and wash, and \
            when, so that every service has its kegs cold and properly carbonated.\n\nNumbers carry \
            their unit in the name of the field (`_l` litres, `_kg` kilograms, `_c` degrees Celsius, \
            `_bar` bar gauge, `_min` minutes). Instants are RFC 3339 with an offset; those that are \
            sent back are on the site's clock. Unknown fields are refused.\n\n\
            A calculation takes plain numbers in the units of its field names: `_bar` is always bar \
            gauge, `_kpa` and `_hpa` are counted from vacuum. It answers with objects that hold each \
            quantity in several units under the same endings, the SI unit first, for instance \
            `{\"k\": 275.15, \"c\": 2, \"f\": 35.6}`; its `inputs` show what was used, defaults \
            filled in. Volumes of CO2 are given by three conventions: real gas at 0 °C, ideal gas at \
            0 °C, real gas at 15 °C, each at one atmosphere. A field with a `default` may be left out. `valid` gives the range of each input, \
            and outside it there is an error (`invalid`), as there is for inputs that have no answer \
            together (`no_answer`): nothing is extrapolated.\n\n\
            **Who asks.** Send an API key as `Authorization: Bearer KEY`; people in front of a browser \
            sign in and have a session. Each operation states the scope it takes: `read`, `floor`, \
            `plan` or `admin`, each of which includes those before it. A key may be limited to sites; \
            what belongs to others is not found. \
            **Repeats.** A POST that changes something can carry an `Idempotency-Key`: sent again \
            within 24 hours, it is answered as before and done once. \
            **Reading again.** Answers carry an ETag; with `If-None-Match` an unchanged one is a 304. \
            **Order.** A request with several faults is told the first of these: who asks (401), \
            whether they may (403, or 404 for what is not theirs), what the request itself says (400, \
            413, 415, 422) or names that is not there (404), what it is compared with (412, 428), and \
            what stands in its way (409).\n\n\
            **What is not defended.** The service speaks plain HTTP: without a proxy with TLS before \
            it, keys and passwords can be read on the way. There is no second factor: whoever has a \
            key or a password is that caller. A calendar's address is a secret in an address. Nothing \
            is encrypted where it is stored.\n\n\
            Whatever is refused is \
            answered with a problem document (RFC 9457) whose `code` is stable.",
        license(name = "MIT OR Apache-2.0", identifier = "MIT OR Apache-2.0")
    ),
    tags(
        (name = "sites", description = "Places that make soda"),
        (name = "setup", description = "What a site makes soda with, as one versioned document"),
        (name = "demand", description = "Litres wanted at services"),
        (name = "stock", description = "What is on hand: a ledger of counts and movements"),
        (name = "plans", description = "What to do and when; plans are made in the background"),
        (name = "work", description = "Work on the floor: what became of it, what was measured, and \
            where each keg comes from"),
        (name = "commitments", description = "Whether something more can be taken: asked, held, \
            accepted or let go"),
        (name = "questions", description = "What if, and how sure; answered in the background"),
        (name = "events", description = "Everything that happened, in order"),
        (name = "webhooks", description = "Where events are delivered, signed, and what became of it"),
        (name = "materials", description = "What the published plan uses up, and what to order"),
        (name = "calendars", description = "The published plan's work as iCalendar"),
        (name = "calibration", description = "What a site's readings say about its setup"),
        (name = "capacity", description = "How many kegs can be ready by a time"),
        (name = "calculations", description = "The physics, one answer at a time: carbonation, air, \
            heat, uptake, dechlorination, gas, limits, serving, and a site's own calibration"),
        (name = "access", description = "Who may do what: keys, people, sessions, and the audit trail"),
        (name = "service", description = "The service itself: health and problem codes"),
    ),
    components(schemas(ProblemDocument))
)]
struct Base;

/// The contract as OpenAPI 3.1.
pub(crate) fn document() -> Result<Value, serde_json::Error> {
    declared().map(published)
}

/// The contract without what handlers declare for the guard alone, and with what most of them ask of
/// a caller said once.
pub(crate) fn published(mut declared: Value) -> Value {
    let usual = common_responses::takes(Scope::Read);
    let paths = declared["paths"].as_object_mut().into_iter().flatten();
    for (_, item) in paths {
        for (_, operation) in item.as_object_mut().into_iter().flatten() {
            if let Some(fields) = operation.as_object_mut() {
                fields.remove(ANYWHERE);
                if fields.get("security") == Some(&usual) {
                    fields.remove("security");
                }
            }
        }
    }
    declared["security"] = usual;
    declared
}

/// The contract with all that handlers declare.
pub(crate) fn declared() -> Result<Value, serde_json::Error> {
    let mut base = Base::openapi();
    base.info.contact = None;
    let app = App::new()
        .into_utoipa_app()
        .openapi(base)
        .configure(routes::all);
    let (_, document) = app.split_for_parts();
    let mut document = serde_json::to_value(&document)?;
    mend(&mut document);
    one_of::write_out(&mut document);
    instants::add(&mut document);
    common_responses::add(&mut document);
    links::add(&mut document);
    shared::refer(&mut document);
    Ok(document)
}

/// The contract as text, as it is published.
pub(crate) fn text() -> Result<String, serde_json::Error> {
    Ok(serde_json::to_string_pretty(&document()?)? + "\n")
}

/// Makes good what the generator gets wrong, in every schema.
fn mend(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            if let Some(Value::String(text)) = fields.get_mut("description") {
                *text = without_code(text);
            }
            alike(fields);
            if let Some(merged) = fields.get("allOf").and_then(described_only) {
                fields.remove("allOf");
                fields.extend(merged);
            }
            fields.values_mut().for_each(mend);
        }
        Value::Array(items) => items.iter_mut().for_each(mend),
        _ => {}
    }
}

/// A pair of alike values is a list of two, which generators of clients can read.
fn alike(fields: &mut Map<String, Value>) {
    let items = fields.get("prefixItems").and_then(Value::as_array);
    let Some([first, rest @ ..]) = items.map(Vec::as_slice) else {
        return;
    };
    if rest.iter().any(|item| item != first) {
        return;
    }
    let (first, count) = (first.clone(), rest.len() + 1);
    fields.remove("prefixItems");
    fields.insert("items".to_owned(), first);
    fields.insert("minItems".to_owned(), count.into());
    fields.insert("maxItems".to_owned(), count.into());
}

/// Examples in Rust belong to the Rust documentation.
fn without_code(text: &str) -> String {
    let outside = text.split("```").step_by(2);
    outside.collect::<Vec<_>>().join("").trim_end().to_owned()
}

/// An inlined type with a description of its own comes out as "this type, and an object too",
/// which nothing is. It means the type, so described.
fn described_only(all_of: &Value) -> Option<Map<String, Value>> {
    let [inlined, object] = all_of.as_array()?.as_slice() else {
        return None;
    };
    let object = object.as_object()?;
    let only_described = object
        .keys()
        .all(|key| key == "type" || key == "description");
    if !only_described || inlined["type"] == "object" || !inlined["type"].is_string() {
        return None;
    }
    let mut merged = inlined.as_object()?.clone();
    merged.insert("description".to_owned(), object.get("description")?.clone());
    Some(merged)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::http::Retiring;

    #[test]
    fn an_inlined_type_with_a_description_is_that_type() {
        let mut schema = json!({ "allOf": [
            { "type": "string", "enum": ["a"], "description": "Long.\n\n```\ncode\n```" },
            { "type": "object", "description": "Short." },
        ] });
        mend(&mut schema);
        assert_eq!(
            schema,
            json!({ "type": "string", "enum": ["a"], "description": "Short." })
        );
    }

    #[test]
    fn what_the_contract_deprecates_it_dates() {
        let contract = document().unwrap();
        for (path, item) in contract["paths"].as_object().unwrap() {
            for (method, operation) in item.as_object().unwrap() {
                let found = Retiring::of(operation);
                assert!(found.is_ok(), "{method} {path}: {found:?}");
            }
        }
    }

    #[test]
    fn descriptions_lose_their_code() {
        let mut schema = json!({ "description": "What it is.\n\n```\ncode();\n```" });
        mend(&mut schema);
        assert_eq!(schema["description"], "What it is.");
    }
}
