//! What is not a valid input is refused by name, for every input of every calculation.

use serde_json::{Value, json};
use tests::{Reply, Server};

use super::contract::{Contract, Declared, Field, Kind};

struct Case<'a> {
    server: &'a Server,
    calculation: &'a Declared,
}

impl Case<'_> {
    fn post(&self, body: &Value) -> Reply {
        let path = format!("/v1/calculations/{}", self.calculation.name);
        self.server.post(&path, body)
    }

    /// The example with something else at a place; `place` is a JSON pointer.
    fn with(&self, place: &str, value: Value) -> Value {
        let mut body = self.calculation.example.clone();
        let (parent, name) = place.rsplit_once('/').unwrap();
        body.pointer_mut(parent).expect(place)[name] = value;
        body
    }

    /// Posts the example with something else at a place, which must be refused naming it.
    fn refused(&self, place: &str, value: Value) {
        let body = self.with(place, value.clone());
        let reply = self.post(&body);
        let context = format!("{} {place} = {value}", self.calculation.name);
        assert_eq!(reply.status, 422, "{context}: {}", reply.text);
        let problem = reply.problem(422, "invalid");
        assert_eq!(
            problem["errors"][0]["field"],
            written(place),
            "{context}: {problem}"
        );
    }

    /// Posts the example with a value on the bound of a field, which must not be refused for it.
    fn allowed(&self, place: &str, value: Value) {
        let reply = self.post(&self.with(place, value.clone()));
        if reply.status != 200 {
            let context = format!(
                "{} {place} = {value}: {}",
                self.calculation.name, reply.text
            );
            assert_eq!(reply.status, 422, "{context}");
            assert_eq!(reply.json()["code"], "no_answer", "{context}");
        }
    }

    fn check(&self, place: &str, field: &Field) {
        self.refused(place, json!({ "a": "thing" }));
        match &field.kind {
            Kind::Number { min, max } => {
                let hair = (max - min) * 1e-6;
                for outside in [min - hair, max + hair, 1e300, -1e300] {
                    self.refused(place, json!(outside));
                }
                self.refused(place, json!("2"));
                self.refused(place, json!(true));
                self.allowed(place, json!(min));
                self.allowed(place, json!(max));
            }
            Kind::Whole { min, max } => {
                for outside in [json!(min - 1), json!(max + 1), json!(2.5), json!(u64::MAX)] {
                    self.refused(place, outside);
                }
                self.allowed(place, json!(min));
                self.allowed(place, json!(max));
            }
            Kind::Choice(values) => {
                self.refused(place, json!("cheese"));
                for value in values {
                    self.allowed(place, value.clone());
                }
            }
            Kind::Flag => {
                self.refused(place, json!(1));
                self.allowed(place, json!(true));
                self.allowed(place, json!(false));
            }
            Kind::List {
                fewest,
                most,
                entry,
            } => {
                self.check_list(place, *fewest, *most);
                for inner in entry {
                    self.check(&format!("{place}/0/{}", inner.name), inner);
                }
                self.refused_unknown(&format!("{place}/0/bogus"));
            }
        }
        if field.required {
            self.missing(place, &field.name);
        } else {
            // Null says nothing, as if the field were left out.
            self.allowed(place, Value::Null);
        }
    }

    fn check_list(&self, place: &str, fewest: u64, most: u64) {
        let entries = self.calculation.example.pointer(place).unwrap();
        let one = &entries[0];
        let long = vec![one.clone(); usize::try_from(most).unwrap() + 1];
        self.refused(place, json!(long));
        self.refused(
            place,
            json!(vec![one; usize::try_from(fewest).unwrap() - 1]),
        );
    }

    fn missing(&self, place: &str, name: &str) {
        let mut body = self.calculation.example.clone();
        let (parent, _) = place.rsplit_once('/').unwrap();
        let parent = body.pointer_mut(parent).unwrap();
        parent.as_object_mut().unwrap().remove(name);
        let problem = self.post(&body).problem(422, "invalid");
        let named = format!("missing field `{name}`");
        assert!(problem.to_string().contains(&named), "{problem}");
    }

    fn refused_unknown(&self, place: &str) {
        let problem = self
            .post(&self.with(place, json!(1)))
            .problem(422, "invalid");
        assert!(
            problem.to_string().contains("unknown field `bogus`"),
            "{problem}"
        );
    }
}

/// A pointer as problems write it: `/readings/0/time_h` is `readings[0].time_h`.
fn written(pointer: &str) -> String {
    let mut text = String::new();
    for part in pointer.split('/').skip(1) {
        if part.parse::<u32>().is_ok() {
            text += &format!("[{part}]");
        } else {
            let dot = if text.is_empty() { "" } else { "." };
            text += &format!("{dot}{part}");
        }
    }
    text
}

#[test]
fn each_input_is_held_to_the_bounds_of_the_contract() {
    let server = Server::empty();
    let contract = Contract::read();
    for calculation in &contract.calculations() {
        let server = &server;
        let case = Case {
            server,
            calculation,
        };
        for field in &calculation.fields {
            case.check(&format!("/{}", field.name), field);
        }
        case.refused_unknown("/bogus");
    }
}

#[test]
fn what_json_cannot_hold_is_refused() {
    let server = Server::empty();
    let contract = Contract::read();
    for calculation in &contract.calculations() {
        let path = format!("/v1/calculations/{}", calculation.name);
        for number in ["NaN", "Infinity", "1e999"] {
            let Some(field) = calculation
                .fields
                .iter()
                .find(|f| matches!(f.kind, Kind::Number { .. }))
            else {
                continue;
            };
            let request = server
                .request(reqwest::Method::POST, &path)
                .header("Content-Type", "application/json")
                .body(format!("{{\"{}\": {number}}}", field.name));
            let _ = server.send(request).problem(400, "bad_json");
        }
        let _ = server.post(&path, &json!([])).problem(422, "invalid");
        let _ = server.get(&path).problem(405, "method_not_allowed");
    }
}
