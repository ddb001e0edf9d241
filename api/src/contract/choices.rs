//! Things of several kinds, written out. "One of these, and also this" is right and short, but many
//! generators of clients cannot read it; "one of these", each with everything, they can.

use serde_json::{Map, Value, json};

/// Writes out every schema that is a choice and an object at once.
pub(super) fn write_out(contract: &mut Value) {
    let Some(schemas) = contract["components"]["schemas"].as_object_mut() else {
        return;
    };
    let known = schemas.clone();
    for schema in schemas.values_mut() {
        if let Some(written) = written_out(schema, &known) {
            *schema = written;
        }
    }
}

fn written_out(schema: &Value, known: &Map<String, Value>) -> Option<Value> {
    let [choice, object] = schema["allOf"].as_array()?.as_slice() else {
        return None;
    };
    let name = choice["$ref"].as_str()?.rsplit('/').next()?;
    let kinds = known.get(name)?["oneOf"].as_array()?;
    let kinds: Option<Vec<Value>> = kinds.iter().map(|kind| both(kind, object)).collect();
    Some(json!({ "description": schema["description"], "oneOf": kinds? }))
}

/// One kind, with the fields all kinds share.
fn both(kind: &Value, shared: &Value) -> Option<Value> {
    let mut both = kind.clone();
    let fields = both["properties"].as_object_mut()?;
    for (name, field) in shared["properties"].as_object()? {
        fields.insert(name.clone(), field.clone());
    }
    let required = both["required"].as_array_mut()?;
    required.extend(shared["required"].as_array().into_iter().flatten().cloned());
    Some(both)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_has_what_all_share() {
        let mut contract = json!({ "components": { "schemas": {
            "Step": { "oneOf": [
                { "type": "object", "properties": { "kind": {}, "pot": {} }, "required": ["kind"] },
                { "type": "object", "properties": { "kind": {} }, "required": ["kind"] },
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
    }
}
