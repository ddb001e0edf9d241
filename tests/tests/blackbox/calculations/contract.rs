//! The calculations as the contract declares them.

use serde_json::Value;
use tests::fizzwright;

/// The contract, and what is looked up in it.
pub(super) struct Contract(pub(super) Value);

/// One calculation.
pub(super) struct Declared {
    pub(super) name: String,
    pub(super) example: Value,
    pub(super) fields: Vec<Field>,
    /// Schema of the reply.
    pub(super) reply: Value,
}

/// One input.
#[derive(Clone, Debug)]
pub(super) struct Field {
    pub(super) name: String,
    pub(super) required: bool,
    pub(super) kind: Kind,
}

/// What an input takes.
#[derive(Clone, Debug)]
pub(super) enum Kind {
    Number {
        min: f64,
        max: f64,
    },
    Whole {
        min: i64,
        max: i64,
    },
    Choice(Vec<Value>),
    Flag,
    List {
        fewest: u64,
        most: u64,
        entry: Vec<Field>,
    },
}

impl Contract {
    pub(super) fn read() -> Self {
        Self(fizzwright(&["openapi"], b"").well().json())
    }

    /// Every calculation, in the order of the contract.
    pub(super) fn calculations(&self) -> Vec<Declared> {
        let paths = self.0["paths"].as_object().unwrap();
        let found = paths.iter().filter_map(|(path, item)| {
            let name = path.strip_prefix("/v1/calculations/")?;
            let operation = &item["post"];
            let body = &operation["requestBody"]["content"]["application/json"];
            let reply = &operation["responses"]["200"]["content"]["application/json"];
            Some(Declared {
                name: name.to_owned(),
                example: body["example"].clone(),
                fields: self.fields(&body["schema"]),
                reply: reply["schema"].clone(),
            })
        });
        found.collect()
    }

    /// What a reference leads to.
    pub(super) fn resolved<'a>(&'a self, schema: &'a Value) -> &'a Value {
        match schema["$ref"].as_str() {
            None => schema,
            Some(reference) => {
                let pointer = reference.strip_prefix('#').unwrap();
                self.resolved(self.0.pointer(pointer).expect(reference))
            }
        }
    }

    fn fields(&self, schema: &Value) -> Vec<Field> {
        let schema = self.resolved(schema);
        assert_eq!(schema["additionalProperties"], false, "{schema}");
        let required = schema["required"].as_array().cloned().unwrap_or_default();
        let properties = schema["properties"].as_object().unwrap();
        let field = |(name, property): (&String, &Value)| Field {
            name: name.clone(),
            required: required.iter().any(|wanted| wanted == name),
            kind: self.kind(property),
        };
        properties.iter().map(field).collect()
    }

    fn kind(&self, property: &Value) -> Kind {
        let shapes = property["oneOf"].as_array().into_iter().flatten();
        let mut shapes = shapes.filter(|shape| shape["type"] != "null");
        let schema = self.resolved(shapes.next().unwrap_or(property));
        if let Some(values) = schema["enum"].as_array() {
            return Kind::Choice(values.clone());
        }
        // An enum whose variants are described comes as one shape for each.
        if let Some(variants) = schema["oneOf"].as_array() {
            let values = variants
                .iter()
                .flat_map(|v| v["enum"].as_array().unwrap().clone());
            return Kind::Choice(values.collect());
        }
        match schema["type"].as_str() {
            Some("number") => Kind::Number {
                min: schema["minimum"].as_f64().expect("a minimum"),
                max: schema["maximum"].as_f64().expect("a maximum"),
            },
            Some("integer") => Kind::Whole {
                min: schema["minimum"].as_i64().expect("a minimum"),
                max: schema["maximum"].as_i64().expect("a maximum"),
            },
            Some("boolean") => Kind::Flag,
            Some("array") => Kind::List {
                fewest: schema["minItems"].as_u64().expect("minItems"),
                most: schema["maxItems"].as_u64().expect("maxItems"),
                entry: self.fields(&schema["items"]),
            },
            other => panic!("an input of type {other:?}: {schema}"),
        }
    }

    /// What is wrong with a value by its schema: a small validator for what replies use.
    pub(super) fn faults(&self, schema: &Value, value: &Value, place: &str) -> Vec<String> {
        let schema = self.resolved(schema);
        if let Some(shapes) = schema["oneOf"].as_array() {
            let fits = |shape: &Value| self.faults(shape, value, place).is_empty();
            return if shapes.iter().any(fits) {
                Vec::new()
            } else {
                vec![format!("{place}: {value} fits no shape")]
            };
        }
        let wrong = |what: &str| vec![format!("{place}: {value} is not {what}")];
        if let Some(values) = schema["enum"].as_array() {
            return if values.contains(value) {
                Vec::new()
            } else {
                wrong("one of those listed")
            };
        }
        match types(schema) {
            _ if schema["allOf"].is_array() => self.object_faults(schema, value, place),
            kinds if kinds.contains(&"null") && value.is_null() => Vec::new(),
            kinds if kinds.contains(&"object") => self.object_faults(schema, value, place),
            kinds if kinds.contains(&"array") => {
                let Some(entries) = value.as_array() else {
                    return wrong("a list");
                };
                let each = entries.iter().enumerate();
                each.flat_map(|(n, entry)| {
                    self.faults(&schema["items"], entry, &format!("{place}[{n}]"))
                })
                .collect()
            }
            kinds if kinds.contains(&"number") || kinds.contains(&"integer") => {
                let Some(number) = value.as_f64() else {
                    return wrong("a number");
                };
                let slack = 1e-9 * number.abs() + 1e-12; // of the conversion of units
                let low = schema["minimum"]
                    .as_f64()
                    .is_some_and(|min| number < min - slack);
                let high = schema["maximum"]
                    .as_f64()
                    .is_some_and(|max| number > max + slack);
                if low || high {
                    wrong("within its bounds")
                } else {
                    Vec::new()
                }
            }
            kinds if kinds.contains(&"boolean") && !value.is_boolean() => wrong("true or false"),
            kinds if kinds.contains(&"string") && !value.is_string() => wrong("a text"),
            _ => Vec::new(),
        }
    }

    /// An object's schema, or those it is said in together.
    fn parts<'a>(&'a self, schema: &'a Value) -> Vec<&'a Value> {
        let schema = self.resolved(schema);
        match schema["allOf"].as_array() {
            Some(parts) => parts.iter().flat_map(|part| self.parts(part)).collect(),
            None => vec![schema],
        }
    }

    fn object_faults(&self, schema: &Value, value: &Value, place: &str) -> Vec<String> {
        let Some(found) = value.as_object() else {
            return vec![format!("{place}: {value} is not an object")];
        };
        let mut faults = Vec::new();
        let parts = self.parts(schema);
        let required = parts.iter().filter_map(|part| part["required"].as_array());
        for name in required.flatten() {
            if !found.contains_key(name.as_str().unwrap()) {
                faults.push(format!("{place}: {name} is missing"));
            }
        }
        for (name, value) in found {
            match parts.iter().find_map(|part| part["properties"].get(name)) {
                None => faults.push(format!("{place}: {name} is not declared")),
                Some(property) => {
                    faults.extend(self.faults(property, value, &format!("{place}.{name}")));
                }
            }
        }
        faults
    }
}

/// The types a schema names, one or several.
fn types(schema: &Value) -> Vec<&str> {
    match &schema["type"] {
        Value::String(one) => vec![one],
        Value::Array(several) => several.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    }
}
