//! What several operations say alike is said once, in `components`, and referred to.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

/// Moves refusals and parameters that are said more than once to the components.
pub(super) fn refer(contract: &mut Value) {
    let mut uses: BTreeMap<String, usize> = BTreeMap::new();
    each_part(contract, |_, _, said| {
        *uses.entry(said.to_string()).or_default() += 1;
    });
    let mut shared: Map<String, Value> = Map::new();
    each_part(contract, |folder, name, said| {
        if uses.get(&said.to_string()) > Some(&1) {
            let named = shared.entry(folder).or_insert_with(|| json!({}));
            let name = free(named, &name, said);
            let reference = json!({ "$ref": format!("#/components/{folder}/{name}") });
            named[&name] = std::mem::replace(said, reference);
        }
    });
    for (folder, named) in shared {
        contract["components"][folder] = named;
    }
}

/// Shows the refusals and parameters of all operations, each with the folder of the components it
/// belongs to and a name that says what it is.
fn each_part(contract: &mut Value, mut look: impl FnMut(&'static str, String, &mut Value)) {
    let items = contract["paths"].as_object_mut().into_iter().flatten();
    let items = items.filter_map(|(_, item)| item.as_object_mut());
    for operation in items.flat_map(Map::values_mut) {
        // An index would add what is not there.
        if let Some(Value::Object(responses)) = operation.get_mut("responses") {
            let refusals = responses.iter_mut();
            for (status, said) in refusals.filter(|(status, _)| status.as_str() >= "400") {
                look("responses", refusal(status, said), said);
            }
        }
        if let Some(Value::Array(parameters)) = operation.get_mut("parameters") {
            for said in parameters {
                look("parameters", parameter(said), said);
            }
        }
    }
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
