//! Inputs that are each in range have an answer, or a refusal that names what to change: never a
//! failure of the service, and never an answer the contract does not describe.

use fastrand::Rng;
use serde_json::{Map, Value, json};
use tests::Server;

use super::contract::{Contract, Declared, Field, Kind};

/// Tries for each calculation.
const TRIES: u32 = 120;

fn some(rng: &mut Rng, kind: &Kind) -> Value {
    match kind {
        Kind::Number { min, max } => json!(somewhere(rng, *min, *max)),
        Kind::Whole { min, max } => json!(rng.i64(*min..=*max)),
        Kind::Choice(values) => rng.choice(values).unwrap().clone(),
        Kind::Flag => json!(rng.bool()),
        Kind::List {
            fewest,
            most,
            entry,
        } => {
            let count = rng.u64(*fewest..=(*most).min(fewest + 4));
            (0..count)
                .map(|_| Value::Object(body(rng, entry)))
                .collect()
        }
    }
}

/// A number in range: mostly anywhere, at times at an end or near the lower one.
fn somewhere(rng: &mut Rng, min: f64, max: f64) -> f64 {
    match rng.u32(0..10) {
        0 => min,
        1 => max,
        2..=4 => min + (max - min) * rng.f64().powi(6),
        _ => min + (max - min) * rng.f64(),
    }
    .clamp(min, max)
}

/// A body of fields in range; at times without what has a default.
fn body(rng: &mut Rng, fields: &[Field]) -> Map<String, Value> {
    let mut body = Map::new();
    for field in fields {
        if field.required || rng.u32(0..3) == 0 {
            body.insert(field.name.clone(), some(rng, &field.kind));
        }
    }
    body
}

/// The example with one or two fields moved somewhere in range.
fn near(rng: &mut Rng, calculation: &Declared) -> Map<String, Value> {
    let mut body = calculation.example.as_object().unwrap().clone();
    for _ in 0..2 {
        let field = rng.choice(&calculation.fields).unwrap();
        body.insert(field.name.clone(), some(rng, &field.kind));
    }
    body
}

/// Whether an error names an input there is.
fn known(fields: &[Field], named: &str) -> bool {
    let first = named.split(['[', '.']).next().unwrap();
    fields.iter().any(|field| field.name == first)
}

#[test]
fn in_range_there_is_an_answer_or_a_named_reason() {
    let server = Server::empty();
    let contract = Contract::read();
    let mut rng = Rng::with_seed(tests::seed());
    for calculation in &contract.calculations() {
        let path = format!("/v1/calculations/{}", calculation.name);
        let mut answered = 0;
        for n in 0..TRIES {
            let body = if n % 2 == 0 {
                body(&mut rng, &calculation.fields)
            } else {
                near(&mut rng, calculation)
            };
            let body = Value::Object(body);
            let reply = server.post(&path, &body);
            if reply.status == 200 {
                answered += 1;
                let faults = contract.faults(&calculation.reply, &reply.json(), &path);
                assert!(faults.is_empty(), "{body}: {faults:#?}");
                continue;
            }
            let problem = reply.problem(422, "no_answer");
            let errors = problem["errors"].as_array().unwrap();
            assert!(!errors.is_empty(), "{path} {body}: {problem}");
            for error in errors {
                let named = error["field"].as_str().unwrap();
                assert!(
                    known(&calculation.fields, named),
                    "{path} {body}: {problem}"
                );
            }
        }
        assert!(
            answered * 20 >= TRIES,
            "{path}: {answered} of {TRIES} answered"
        );
    }
}
