//! Which instants there are, said wherever one stands.

use scheduler::scenario::instants::INSTANTS;
use serde_json::{Value, json};

/// Says at every instant which there are.
pub(super) fn add(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            if fields.get("format") == Some(&json!("date-time")) {
                let said = fields.get("description").and_then(Value::as_str);
                let said = said.map_or_else(String::new, |said| format!("{said} "));
                fields.insert(
                    "description".to_owned(),
                    json!(format!("{said}{INSTANTS}.")),
                );
            }
            fields.values_mut().for_each(add);
        }
        Value::Array(items) => items.iter_mut().for_each(add),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_instants_say_which_there_are() {
        let mut contract = json!({
            "at": { "type": "string", "format": "date-time", "description": "When." },
            "items": [{ "type": ["string", "null"], "format": "date-time" }],
            "day": { "type": "string", "format": "date" },
        });
        add(&mut contract);
        assert_eq!(contract["at"]["description"], format!("When. {INSTANTS}."));
        assert_eq!(contract["items"][0]["description"], format!("{INSTANTS}."));
        assert_eq!(contract["day"]["description"], Value::Null);
    }
}
