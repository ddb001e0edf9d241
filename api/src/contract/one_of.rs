//! Things of several kinds, written out. "One of these, and also this" is right and short, but many
//! generators of clients cannot read it; "one of these", each with a name and all it has, they can.
//! And "all of these" holds for nothing where one of them allows no other fields: that is one thing
//! with all of them.

use serde_json::{Map, Value, json};

/// How deep such things may stand in each other.
const DEEPEST: usize = 4;

type Schemas = Map<String, Value>;

/// Writes out every schema that is a choice and objects at once.
pub(super) fn write_out(contract: &mut Value) {
    let Some(schemas) = contract["components"]["schemas"].as_object_mut() else {
        return;
    };
    for _ in 0..DEEPEST {
        let known = schemas.clone();
        for (name, schema) in &known {
            let mut named = Schemas::new();
            let written = in_kinds(name, schema, &known, &mut named)
                .or_else(|| written_out(name, schema, &known, &mut named))
                .or_else(|| opened(schema, &known));
            if let Some(written) = written {
                schemas.insert(name.clone(), written);
                schemas.extend(named);
            }
        }
        if *schemas == known {
            return;
        }
    }
}

/// A choice between kinds that are said in parts, as a choice between names.
fn in_kinds(name: &str, schema: &Value, known: &Schemas, named: &mut Schemas) -> Option<Value> {
    let kinds = schema["oneOf"].as_array()?;
    if kinds.is_empty() || kinds.iter().any(|kind| !kind["allOf"].is_array()) {
        return None;
    }
    let each = kinds.iter().map(|kind| {
        let kind_name = format!("{name}{}", camel(label(kind, known)?));
        named.insert(kind_name.clone(), kind.clone());
        Some(reference(&kind_name))
    });
    let each: Option<Vec<Value>> = each.collect();
    Some(json!({ "description": schema["description"], "oneOf": each? }))
}

/// A choice and what all kinds share, as a choice between names, each with both.
fn written_out(name: &str, schema: &Value, known: &Schemas, named: &mut Schemas) -> Option<Value> {
    let parts = schema["allOf"].as_array()?;
    let meanings = parts_of(schema, known)?;
    let at = meanings.iter().position(|part| part["oneOf"].is_array())?;
    let others = || (0..parts.len()).filter(|n| *n != at);
    let closed = |part: &Value| part["additionalProperties"] == false;
    let kinds = meanings[at]["oneOf"].as_array()?;
    // Those that are said in parts get their names first.
    if kinds.iter().any(|kind| kind["allOf"].is_array()) {
        return None;
    }
    if others().any(|n| !meanings[n]["properties"].is_object() || closed(meanings[n])) {
        return None;
    }
    // What is said only here gets a name, or every kind would say it again.
    let mut shared = Vec::new();
    for n in others() {
        shared.push(match parts[n]["$ref"].is_string() {
            true => parts[n].clone(),
            false => {
                let called = format!("{name}Common");
                let mut said = parts[n].clone();
                said["description"] = json!(format!("What every kind of {name} has."));
                named.insert(called.clone(), said);
                reference(&called)
            }
        });
    }
    let each = kinds.iter().map(|kind| {
        let meant = meant(kind, known)?;
        let kind_name = format!("{name}{}", camel(label(kind, known)?));
        let parts = std::iter::once(kind).chain(&shared);
        let all: Vec<&Value> = parts.collect();
        let whole = json!({ "description": meant["description"], "allOf": all });
        named.insert(kind_name.clone(), whole);
        Some(reference(&kind_name))
    });
    let each: Option<Vec<Value>> = each.collect();
    Some(json!({ "description": schema["description"], "oneOf": each? }))
}

/// The word that tells a kind from others: the only value of one of its fields.
fn label<'a>(kind: &'a Value, known: &'a Schemas) -> Option<&'a str> {
    let kind = meant(kind, known)?;
    if let Some(parts) = kind["allOf"].as_array() {
        return parts.iter().find_map(|part| label(part, known));
    }
    let fields = kind["properties"].as_object()?.values();
    let words = fields.filter_map(|field| match field["enum"].as_array()?.as_slice() {
        [Value::String(word)] => Some(word.as_str()),
        _ => None,
    });
    words.into_iter().next()
}

fn camel(word: &str) -> String {
    let words = word.split('_');
    let each = words.map(|word| {
        let (first, rest) = word.split_at(word.len().min(1));
        first.to_ascii_uppercase() + rest
    });
    each.collect()
}

fn reference(name: &str) -> Value {
    json!({ "$ref": format!("#/components/schemas/{name}") })
}

/// What the parts of a schema that is said in parts are.
fn parts_of<'a>(schema: &'a Value, known: &'a Schemas) -> Option<Vec<&'a Value>> {
    let parts = schema["allOf"].as_array()?;
    parts.iter().map(|part| meant(part, known)).collect()
}

/// One thing with the fields of all parts, if a part allows no others.
fn opened(schema: &Value, known: &Schemas) -> Option<Value> {
    let parts = parts_of(schema, known)?;
    if parts
        .iter()
        .all(|part| part["additionalProperties"] != false)
    {
        return None;
    }
    let (first, others) = parts.split_first()?;
    let first = (*first).clone();
    let mut one = others
        .iter()
        .try_fold(first, |one, part| both(&one, part))?;
    let fields = one.as_object_mut()?;
    fields.remove("additionalProperties");
    fields.insert("description".to_owned(), schema["description"].clone());
    Some(one)
}

/// What a part refers to, or the part itself.
fn meant<'a>(part: &'a Value, known: &'a Schemas) -> Option<&'a Value> {
    match part["$ref"].as_str() {
        Some(name) => known.get(name.rsplit('/').next()?),
        None => Some(part),
    }
}

/// One thing with the fields of two.
fn both(one: &Value, other: &Value) -> Option<Value> {
    let mut both = one.clone();
    let fields = both["properties"].as_object_mut()?;
    for (name, field) in other["properties"].as_object()? {
        fields.insert(name.clone(), field.clone());
    }
    let mut required = both["required"].as_array().cloned().unwrap_or_default();
    required.extend(other["required"].as_array().into_iter().flatten().cloned());
    both["required"] = Value::Array(required);
    Some(both)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_that_allows_no_other_fields_does_not_stand_beside_others() {
        let mut contract = json!({ "components": { "schemas": {
            "Asked": {
                "type": "object", "description": "Asked.", "additionalProperties": false,
                "properties": { "url": {} }, "required": ["url"],
            },
            "Stored": { "description": "Stored.", "allOf": [
                { "$ref": "#/components/schemas/Asked" },
                { "type": "object", "properties": { "id": {} }, "required": ["id"] },
            ] },
        } } });
        write_out(&mut contract);
        let stored = json!({
            "type": "object", "description": "Stored.",
            "properties": { "url": {}, "id": {} }, "required": ["url", "id"],
        });
        assert_eq!(contract["components"]["schemas"]["Stored"], stored);
        assert_eq!(
            contract["components"]["schemas"]["Asked"]["additionalProperties"],
            false
        );
    }

    #[test]
    fn each_kind_has_a_name_and_what_all_share() {
        let kind = |word: &str| json!({ "properties": { "kind": { "enum": [word] } } });
        let mut contract = json!({ "components": { "schemas": {
            "BoilStep": { "type": "object", "properties": { "pot": {} }, "required": ["pot"] },
            "Step": { "description": "What.", "oneOf": [
                { "description": "Heat.", "allOf": [reference("BoilStep"), kind("boil")] },
                { "description": "Take.", "allOf": [reference("BoilStep"), kind("take_down")] },
            ] },
            "Told": { "type": "object", "properties": { "state": {} }, "required": ["state"] },
            "Floor": { "description": "Two.", "allOf": [
                reference("Item"),
                reference("Told"),
                { "type": "object", "properties": { "plan": {} }, "required": ["plan"] },
            ] },
            "Item": { "description": "One.", "allOf": [
                reference("Step"),
                { "type": "object", "properties": { "id": {} }, "required": ["id"] },
            ] },
        } } });
        write_out(&mut contract);
        let schemas = &contract["components"]["schemas"];
        let names = |of: &str| {
            json!([
                reference(&format!("{of}Boil")),
                reference(&format!("{of}TakeDown"))
            ])
        };
        for (name, said) in [("Step", "What."), ("Item", "One."), ("Floor", "Two.")] {
            let choice = json!({ "description": said, "oneOf": names(name) });
            assert_eq!(schemas[name], choice);
        }
        assert_eq!(schemas["StepBoil"]["allOf"][0], reference("BoilStep"));
        let item = json!({ "description": "Heat.", "allOf": [
            reference("StepBoil"), reference("ItemCommon"),
        ] });
        assert_eq!(schemas["ItemBoil"], item);
        assert_eq!(schemas["ItemCommon"]["required"], json!(["id"]));
        let floor = json!({ "description": "Take.", "allOf": [
            reference("ItemTakeDown"), reference("Told"), reference("FloorCommon"),
        ] });
        assert_eq!(schemas["FloorTakeDown"], floor);
    }
}
