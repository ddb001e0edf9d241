//! What several operations say alike is said once, in `components`, and referred to.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

/// Moves refusals and parameters that are said more than once to the components.
pub(super) fn refer(contract: &mut Value) {
    let mut counts = BTreeMap::new();
    each_operation(contract, |operation| {
        for (kind, name, said) in parts(operation) {
            let uses: &mut usize = counts.entry((kind, name, said.to_string())).or_default();
            *uses += 1;
        }
    });
    let mut shared: Map<String, Value> = Map::new();
    each_operation(contract, |operation| {
        let found: Vec<(Kind, String, Value)> = parts(operation)
            .map(|(kind, name, said)| (kind, name, said.clone()))
            .filter(|(kind, name, said)| {
                counts.get(&(*kind, name.clone(), said.to_string())) > Some(&1)
            })
            .collect();
        for (kind, name, said) in found {
            let named = shared.entry(kind.folder()).or_insert_with(|| json!({}));
            let name = free(named, &name, &said);
            let reference = json!({ "$ref": format!("#/components/{}/{name}", kind.folder()) });
            replace(operation, kind, &said, &reference);
            named[&name] = said;
        }
    });
    for (folder, named) in shared {
        contract["components"][folder] = named;
    }
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    Refusal,
    Parameter,
}

impl Kind {
    fn folder(self) -> &'static str {
        match self {
            Self::Refusal => "responses",
            Self::Parameter => "parameters",
        }
    }
}

fn each_operation(contract: &mut Value, mut look: impl FnMut(&mut Value)) {
    let paths = contract["paths"].as_object_mut().into_iter().flatten();
    for (_, item) in paths {
        let operations = item.as_object_mut().into_iter().flatten();
        operations.for_each(|(_, operation)| look(operation));
    }
}

/// The refusals and parameters of an operation, each with a name that says what it is.
fn parts(operation: &Value) -> impl Iterator<Item = (Kind, String, &Value)> {
    let responses = operation["responses"].as_object().into_iter().flatten();
    let refusals = responses
        .filter(|(status, _)| status.as_str() >= "400")
        .map(|(status, said)| (Kind::Refusal, refusal(status, said), said));
    let parameters = operation["parameters"].as_array().into_iter().flatten();
    refusals.chain(parameters.map(|said| (Kind::Parameter, parameter(said), said)))
}

/// The codes of a refusal, as the description lists them: `Unauthenticated401`.
fn refusal(status: &str, said: &Value) -> String {
    let text = said["description"].as_str().unwrap_or_default();
    let codes = text.split("(`").skip(1);
    let codes = codes
        .filter_map(|rest| rest.split_once("`)"))
        .map(|c| camel(c.0));
    let mut name: Vec<String> = codes.collect();
    // A long list is named by its first members; `free` keeps the names apart.
    name.truncate(3);
    name.join("Or") + status
}

fn parameter(said: &Value) -> String {
    camel(said["name"].as_str().unwrap_or_default())
}

fn camel(words: &str) -> String {
    let words = words.split(|c: char| !c.is_ascii_alphanumeric());
    words
        .map(|word| {
            let (first, rest) = word.split_at(word.len().min(1));
            first.to_ascii_uppercase() + rest
        })
        .collect()
}

/// The name, with a number behind it where another is called so.
fn free(named: &Value, name: &str, said: &Value) -> String {
    let names = std::iter::once(name.to_owned()).chain((2..).map(|n| format!("{name}_{n}")));
    let fits = |name: &String| named.get(name).is_none_or(|known| known == said);
    names.into_iter().find(fits).unwrap_or_default()
}

fn replace(operation: &mut Value, kind: Kind, said: &Value, reference: &Value) {
    // An index would add what is not there.
    let places: Vec<&mut Value> = match operation.get_mut(kind.folder()) {
        Some(Value::Object(all)) => all.values_mut().collect(),
        Some(Value::Array(all)) => all.iter_mut().collect(),
        _ => Vec::new(),
    };
    for place in places.into_iter().filter(|place| *place == said) {
        place.clone_from(reference);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn operation(text: &str) -> Value {
        json!({
            "parameters": [{ "name": "If-Match", "in": "header" }],
            "responses": { "200": { "description": text }, "404": { "description": text } },
        })
    }

    #[test]
    fn what_is_said_twice_is_said_once() {
        let (one, other) = ("Not found (`not_found`).", "Gone (`not_found`).");
        let mut contract = json!({ "components": {}, "paths": {
            "/a": { "get": operation(one), "put": operation(one) },
            "/b": { "get": operation(other), "put": operation(other), "post": operation("Alone.") },
        } });
        refer(&mut contract);
        let refusal = |path: &str| contract["paths"][path]["get"]["responses"]["404"].clone();
        assert_eq!(
            refusal("/a"),
            json!({ "$ref": "#/components/responses/NotFound404" })
        );
        assert_eq!(
            refusal("/b"),
            json!({ "$ref": "#/components/responses/NotFound404_2" })
        );
        let components = &contract["components"];
        assert_eq!(components["responses"]["NotFound404"]["description"], one);
        assert_eq!(
            components["responses"]["NotFound404_2"]["description"],
            other
        );
        assert_eq!(components["parameters"]["IfMatch"]["in"], "header");
        let post = &contract["paths"]["/b"]["post"];
        assert_eq!(post["responses"]["404"]["description"], "Alone.");
        assert_eq!(post["responses"]["200"]["description"], "Alone.");
    }
}
