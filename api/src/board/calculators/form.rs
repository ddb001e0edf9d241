//! A form made from the contract: what a calculation takes, in which unit and range.

use serde_json::{Map, Value, json};

use super::super::fields::Fields;
use super::super::schema::{help, label, published, resolved, unit, words};
use crate::domain::Refusal;

/// A field of a form.
#[derive(Debug, Clone, Default)]
pub(super) struct Field {
    pub(super) name: String,
    pub(super) label: String,
    pub(super) unit: String,
    pub(super) help: String,
    pub(super) needed: bool,
    pub(super) value: String,
    pub(super) least: Option<f64>,
    pub(super) most: Option<f64>,
    /// What may be chosen; nothing where something is written.
    pub(super) choices: Vec<(String, String, bool)>,
    pub(super) is_list: bool,
    pub(super) number: bool,
    /// Whether it counts something.
    pub(super) whole: bool,
    pub(super) yes_or_no: bool,
}

/// What a calculation takes.
pub(super) struct Form {
    fields: Vec<Field>,
}

impl Form {
    /// The form of a calculation.
    pub(super) fn of(name: &str) -> Option<Self> {
        let contract = published()?;
        let path = format!("/v1/calculations/{name}");
        let body = &contract["paths"][&path]["post"]["requestBody"]["content"]["application/json"];
        let inputs = resolved(contract, &body["schema"]);
        let needed: Vec<&str> = inputs["required"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_str)
            .collect();
        let properties = inputs["properties"].as_object()?;
        let mut fields: Vec<Field> = properties
            .iter()
            .map(|(name, schema)| field(contract, name, schema, needed.contains(&name.as_str())))
            .collect();
        // What is needed comes first.
        fields.sort_by_key(|field| !field.needed);
        Some(Self { fields })
    }

    pub(super) fn field(&self, name: &str) -> Option<&Field> {
        self.fields
            .iter()
            .find(|field| field.name == name && field.number)
    }

    /// What the graph runs over where nothing else is said: the first number that is given.
    pub(super) fn graphed(&self, inputs: &Value) -> Option<String> {
        let mut numbers = self.fields.iter().filter(|field| field.number);
        let given = numbers.find(|field| inputs[&field.name].is_number());
        given.map(|field| field.name.clone())
    }

    /// Numbers a graph can run over.
    pub(super) fn choices(&self, chosen: Option<&str>) -> Vec<(String, String, bool)> {
        let numbers = self.fields.iter().filter(|field| field.number);
        numbers
            .map(|f| {
                (
                    f.name.clone(),
                    f.label.clone(),
                    chosen == Some(f.name.as_str()),
                )
            })
            .collect()
    }

    /// What somebody wrote, as the API takes it.
    pub(super) fn read(&self, asked: &Fields) -> Result<Value, Refusal> {
        let mut inputs = Map::new();
        for field in &self.fields {
            let Some(text) = asked.text(&field.name) else {
                continue;
            };
            let value = if field.number {
                let number: f64 = asked.number(&field.name)?.unwrap_or_default();
                if field.whole && number.fract().abs() < 1e-9 {
                    json!(number as i64)
                } else {
                    json!(number)
                }
            } else if field.yes_or_no {
                json!(text == "true")
            } else if field.is_list {
                serde_json::from_str(text)
                    .map_err(|error| Refusal::field(&field.name, error.to_string()))?
            } else {
                json!(text)
            };
            inputs.insert(field.name.clone(), value);
        }
        Ok(Value::Object(inputs))
    }

    /// What somebody wrote, to be put right.
    pub(super) fn kept(&self, asked: &Fields) -> Value {
        let pairs = self.fields.iter().filter_map(|field| {
            let text = asked.text(&field.name)?;
            Some((field.name.clone(), json!(text)))
        });
        Value::Object(pairs.collect())
    }

    /// The fields with values in them.
    pub(super) fn filled(&self, inputs: &Value) -> Vec<Field> {
        let fill = |field: &Field| {
            let value = match &inputs[&field.name] {
                Value::Null => String::new(),
                Value::String(text) => text.clone(),
                other => other.to_string(),
            };
            let choices = field.choices.iter().map(|(id, name, _)| {
                let chosen = *id == value;
                (id.clone(), name.clone(), chosen)
            });
            Field {
                choices: choices.collect(),
                value,
                ..field.clone()
            }
        };
        self.fields.iter().map(fill).collect()
    }
}

fn field(contract: &Value, name: &str, schema: &Value, needed: bool) -> Field {
    let declared = resolved(contract, schema);
    let number = ["number", "integer"]
        .iter()
        .any(|kind| declared["type"] == *kind);
    let unit = unit(declared);
    let list = declared["enum"].as_array().or(declared["oneOf"].as_array());
    let yes_or_no = declared["type"] == "boolean";
    let mut choices: Vec<(String, String, bool)> = list
        .into_iter()
        .flatten()
        .filter_map(|choice| {
            choice
                .as_str()
                .or(choice["const"].as_str())
                .or(choice["enum"][0].as_str())
        })
        .map(|choice| (choice.to_owned(), words(choice), false))
        .collect();
    if yes_or_no {
        choices = vec![
            ("false".to_owned(), "no".to_owned(), false),
            ("true".to_owned(), "yes".to_owned(), false),
        ];
    }
    if !needed && !choices.is_empty() {
        choices.insert(0, (String::new(), "not said".to_owned(), false));
    }
    Field {
        label: label(name, unit),
        unit: unit.to_owned(),
        help: help(schema),
        needed,
        least: declared["minimum"].as_f64(),
        most: declared["maximum"].as_f64(),
        is_list: declared["type"] == "array" || declared["type"] == "object",
        choices,
        number,
        whole: declared["type"] == "integer",
        yes_or_no,
        name: name.to_owned(),
        value: String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::calculations;

    #[test]
    fn every_calculation_has_a_form_that_reads_its_example() {
        for card in calculations::cards() {
            let form = Form::of(card.name).unwrap_or_else(|| panic!("{}", card.name));
            let example: Value = serde_json::from_str(card.example).unwrap();
            let mut sent = form_urlencoded::Serializer::new(String::new());
            for field in form.filled(&example) {
                sent.append_pair(&field.name, &field.value);
            }
            let read = form.read(&Fields::parse(sent.finish().as_bytes())).unwrap();
            for (name, value) in example.as_object().unwrap() {
                let same = match (value.as_f64(), read[name].as_f64()) {
                    (Some(one), Some(other)) => (one - other).abs() < 1e-12 * one.abs().max(1.0),
                    _ => *value == read[name],
                };
                assert!(same, "{}: {name}: {value} {}", card.name, read[name]);
            }
            assert!(
                calculations::calculate(card.name, read).is_ok(),
                "{}",
                card.name
            );
        }
    }

    #[test]
    fn fields_carry_what_the_contract_says() {
        let form = Form::of("carbonation/dissolved").unwrap();
        let field = form.field("temperature_c").unwrap();
        assert_eq!(
            (field.label.as_str(), field.unit.as_str()),
            ("Temperature", "°C")
        );
        assert_eq!(
            (field.least, field.most, field.needed),
            (Some(-1.0), Some(40.0), true)
        );
    }
}
