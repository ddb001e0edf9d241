//! Things of several kinds, written out. "One of these, and also this" is right and short, but many
//! generators of clients cannot read it; "one of these", each with everything, they can. And "all of
//! these" holds for nothing where one of them allows no other fields: that is one thing with all of
//! them.

use serde_json::{Map, Value, json};

/// How deep such things may stand in each other.
const DEEPEST: usize = 4;

/// Writes out every schema that is a choice and objects at once.
pub(super) fn write_out(contract: &mut Value) {
    let Some(schemas) = contract["components"]["schemas"].as_object_mut() else {
        return;
    };
    for _ in 0..DEEPEST {
        let known = schemas.clone();
        let mut changed = false;
        for schema in schemas.values_mut() {
            let written = written_out(schema, &known).or_else(|| opened(schema, &known));
            if let Some(written) = written {
                *schema = written;
                changed = true;
            }
        }
        if !changed {
            return;
        }
    }
}

fn written_out(schema: &Value, known: &Map<String, Value>) -> Option<Value> {
    let parts = parts_of(schema, known)?;
    let is_choice = |part: &&Value| part["oneOf"].is_array();
    let at = parts.iter().position(is_choice)?;
    let others = || parts.iter().enumerate().filter(|(n, _)| *n != at);
    if others().any(|(_, part)| !part["properties"].is_object()) {
        return None;
    }
    let kinds = parts[at]["oneOf"].as_array()?.iter();
    let kinds: Option<Vec<Value>> = kinds
        .map(|kind| {
            let kind = whole(kind, known)?;
            others().try_fold(kind, |kind, (_, part)| both(&kind, part))
        })
        .collect();
    Some(json!({ "description": schema["description"], "oneOf": kinds? }))
}

/// A kind with everything it has, where it is said in parts.
fn whole(kind: &Value, known: &Map<String, Value>) -> Option<Value> {
    match kind["allOf"].is_array() {
        true => together(&parts_of(kind, known)?),
        false => Some(kind.clone()),
    }
}

/// What the parts of a schema that is said in parts are.
fn parts_of<'a>(schema: &'a Value, known: &'a Map<String, Value>) -> Option<Vec<&'a Value>> {
    let parts = schema["allOf"].as_array()?;
    parts.iter().map(|part| meant(part, known)).collect()
}

/// One thing with the fields of all parts.
fn together(parts: &[&Value]) -> Option<Value> {
    let (first, others) = parts.split_first()?;
    let first = (*first).clone();
    others.iter().try_fold(first, |one, part| both(&one, part))
}

/// One thing with the fields of all parts, if a part allows no others.
fn opened(schema: &Value, known: &Map<String, Value>) -> Option<Value> {
    let parts = parts_of(schema, known)?;
    if parts
        .iter()
        .all(|part| part["additionalProperties"] != false)
    {
        return None;
    }
    let mut one = together(&parts)?;
    let fields = one.as_object_mut()?;
    fields.remove("additionalProperties");
    fields.insert("description".to_owned(), schema["description"].clone());
    Some(one)
}

/// What a part refers to, or the part itself.
fn meant<'a>(part: &'a Value, known: &'a Map<String, Value>) -> Option<&'a Value> {
    match part["$ref"].as_str() {
        Some(name) => known.get(name.rsplit('/').next()?),
        None => Some(part),
    }
}

/// One kind, with the fields all kinds share.
fn both(kind: &Value, shared: &Value) -> Option<Value> {
    let mut both = kind.clone();
    let fields = both["properties"].as_object_mut()?;
    for (name, field) in shared["properties"].as_object()? {
        fields.insert(name.clone(), field.clone());
    }
    let mut required = both["required"].as_array().cloned().unwrap_or_default();
    required.extend(shared["required"].as_array().into_iter().flatten().cloned());
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
    fn a_kind_that_is_said_in_parts_is_put_together() {
        let mut contract = json!({ "components": { "schemas": {
            "Boil": { "type": "object", "properties": { "pot": {} }, "required": ["pot"] },
            "Step": { "oneOf": [{ "allOf": [
                { "$ref": "#/components/schemas/Boil" },
                { "type": "object", "properties": { "kind": {} }, "required": ["kind"] },
            ] }] },
            "Item": { "description": "One.", "allOf": [
                { "$ref": "#/components/schemas/Step" },
                { "type": "object", "properties": { "id": {} }, "required": ["id"] },
            ] },
        } } });
        write_out(&mut contract);
        let kind = &contract["components"]["schemas"]["Item"]["oneOf"][0];
        assert_eq!(
            kind["properties"],
            json!({ "pot": {}, "kind": {}, "id": {} })
        );
        assert_eq!(kind["required"], json!(["pot", "kind", "id"]));
    }

    #[test]
    fn each_kind_has_what_all_share() {
        let mut contract = json!({ "components": { "schemas": {
            "Step": { "oneOf": [
                { "type": "object", "properties": { "kind": {}, "pot": {} }, "required": ["kind"] },
                { "type": "object", "properties": { "kind": {} }, "required": ["kind"] },
            ] },
            "Told": { "type": "object", "properties": { "state": {} }, "required": ["state"] },
            "Floor": { "description": "Two.", "allOf": [
                { "$ref": "#/components/schemas/Item" },
                { "$ref": "#/components/schemas/Told" },
                { "type": "object", "properties": { "plan": {} }, "required": ["plan"] },
            ] },
            "Item": { "description": "One.", "allOf": [
                { "$ref": "#/components/schemas/Step" },
                { "type": "object", "properties": { "id": {} }, "required": ["id"] },
            ] },
        } } });
        write_out(&mut contract);
        let item = &contract["components"]["schemas"]["Item"];
        assert_eq!(item["description"], "One.");
        assert_eq!(item["oneOf"][0]["required"], json!(["kind", "id"]));
        assert_eq!(
            item["oneOf"][0]["properties"],
            json!({ "kind": {}, "pot": {}, "id": {} })
        );
        assert_eq!(
            item["oneOf"][1]["properties"],
            json!({ "kind": {}, "id": {} })
        );
        let floor = &contract["components"]["schemas"]["Floor"];
        assert_eq!(
            floor["oneOf"][1]["required"],
            json!(["kind", "id", "state", "plan"])
        );
    }
}
