//! The list, and the envelope every reply comes in.

use serde_json::{Value, json};
use tests::Server;

use super::contract::Contract;
use super::{ask, number};

#[test]
fn the_list_names_what_the_contract_has() {
    let list = Server::empty().get("/v1/calculations").ok();
    let list = list["calculations"].as_array().unwrap();
    let mut listed: Vec<&str> = list.iter().map(|c| c["name"].as_str().unwrap()).collect();
    let contract = Contract::read();
    let declared = contract.calculations();
    let mut names: Vec<&str> = declared.iter().map(|c| c.name.as_str()).collect();
    listed.sort_unstable();
    names.sort_unstable();
    assert_eq!(listed, names);
    for calculation in list {
        for field in ["title", "answers"] {
            assert!(
                calculation[field].as_str().unwrap().len() > 8,
                "{calculation}"
            );
        }
        let equations = calculation["equations"].as_array().unwrap();
        assert!(
            equations
                .iter()
                .all(|e| !e["source"].as_str().unwrap().is_empty())
        );
        let name = calculation["name"].as_str().unwrap();
        assert_eq!(calculation["link"], format!("/v1/calculations/{name}"));
    }
}

#[test]
fn every_part_of_the_model_is_there() {
    let contract = Contract::read();
    let declared = contract.calculations();
    for part in [
        "units",
        "atmosphere",
        "carbonation",
        "air",
        "headspace",
        "heating",
        "ice",
        "cooling",
        "uptake",
        "dechlorination",
        "dispensing",
        "gas",
        "limits",
        "serving",
        "calibration",
        "properties",
    ] {
        let found = declared
            .iter()
            .any(|c| c.name.starts_with(&format!("{part}/")));
        assert!(found, "{part}");
    }
}

#[test]
fn every_example_of_the_contract_is_answered_as_the_contract_says() {
    let server = Server::empty();
    let contract = Contract::read();
    for calculation in contract.calculations() {
        let name = &calculation.name;
        let reply = ask(&server, name, &calculation.example);
        let faults = contract.faults(&calculation.reply, &reply, name);
        assert!(faults.is_empty(), "{faults:#?}");
        for part in ["equations", "valid"] {
            let may_be_empty = part == "valid" && calculation.fields.iter().all(plain);
            let entries = reply[part].as_array().unwrap();
            assert!(may_be_empty || !entries.is_empty(), "{name}: {part}");
        }
        assert!(
            reply["uncertainty"]["says"].as_str().unwrap().len() > 8,
            "{name}"
        );
        for caution in reply["cautions"].as_array().unwrap() {
            assert!(caution["source"].as_str().unwrap().len() > 3, "{caution}");
        }
    }
}

fn plain(field: &super::contract::Field) -> bool {
    use super::contract::Kind;
    matches!(field.kind, Kind::Choice(_) | Kind::Flag)
}

#[test]
fn valid_ranges_are_those_of_the_contract() {
    use super::contract::Kind;
    let server = Server::empty();
    let contract = Contract::read();
    for calculation in contract.calculations() {
        let reply = ask(&server, &calculation.name, &calculation.example);
        let valid = reply["valid"].as_array().unwrap();
        let check = |path: &str, kind: &Kind| {
            let (min, max) = match kind {
                Kind::Number { min, max } => (*min, *max),
                Kind::Whole { min, max } => (*min as f64, *max as f64),
                _ => return,
            };
            let range = valid.iter().find(|range| range["input"] == path);
            let range = range.unwrap_or_else(|| panic!("{}: {path}", calculation.name));
            assert_eq!(range["lowest"].as_f64(), Some(min), "{range}");
            assert_eq!(range["highest"].as_f64(), Some(max), "{range}");
        };
        for field in &calculation.fields {
            check(&field.name, &field.kind);
            if let Kind::List { entry, .. } = &field.kind {
                for inner in entry {
                    check(&format!("{}[].{}", field.name, inner.name), &inner.kind);
                }
            }
        }
    }
}

#[test]
fn inputs_come_back_in_si_with_defaults_filled_in() {
    let server = Server::empty();
    let body = json!({ "temperature_c": 2, "pressure_bar": 2 });
    let reply = ask(&server, "carbonation/dissolved", &body);
    let close = |pointer, expected: f64| {
        let found = number(&reply, pointer);
        assert!((found / expected - 1.0).abs() < 1e-9, "{pointer}: {found}");
    };
    close("/inputs/temperature/k", 275.15);
    close("/inputs/temperature/f", 35.6);
    close("/inputs/pressure/pa", 200_000.0);
    close("/inputs/air_pressure/pa", 101_325.0);
    assert_eq!(reply["inputs"]["sugar"]["brix"], 0.0);
    assert_eq!(reply["inputs"]["rating"], Value::Null);
    // 1.9768 g/L of real gas at 0 °C, 1.9635 of ideal gas: physics of the reference table.
    let grams = number(&reply, "/answer/carbonation/g_per_l");
    close("/answer/carbonation/volumes", grams / 1.9768);
    close("/answer/carbonation/ideal_volumes", grams / 1.9635);
    close("/answer/carbonation/kg_per_m3", grams);
}

#[test]
fn elevation_and_barometer_exclude_each_other() {
    let body = json!({ "elevation_m": 1600, "barometer_hpa": 835 });
    let problem = Server::empty()
        .post("/v1/calculations/atmosphere/boiling-point", &body)
        .problem(422, "no_answer");
    assert_eq!(problem["errors"][0]["field"], "barometer_hpa", "{problem}");
}

#[test]
fn curves_run_from_the_start_to_the_end() {
    let server = Server::empty();
    let body = json!({ "temperature_c": 2, "pressure_bar": 2, "time_h": 168 });
    let reply = ask(&server, "uptake/still", &body);
    let curve = reply["answer"]["curve"].as_array().unwrap();
    assert_eq!(curve.len(), 25);
    let times: Vec<f64> = curve.iter().map(|point| number(point, "/time/h")).collect();
    assert!(times.windows(2).all(|pair| pair[0] < pair[1]), "{times:?}");
    assert!((times[24] - 168.0).abs() < 1e-9);
    let last = number(&curve[24], "/carbonation/g_per_l");
    assert!((last - number(&reply, "/answer/carbonation/g_per_l")).abs() < 1e-12);
    assert!(number(&curve[0], "/carbonation/g_per_l").abs() < 1e-12);
}

#[test]
fn limits_are_listed_with_their_sources() {
    let tables = Server::empty().get("/v1/limits").ok();
    for table in ["limits", "rules", "cautions"] {
        let rows = tables[table].as_array().unwrap();
        assert!(rows.len() > 5, "{table}");
        assert!(
            rows.iter()
                .all(|row| !row["source"].as_str().unwrap().is_empty())
        );
    }
}

#[test]
fn the_call_in_the_readme_works_as_printed() {
    let readme = include_str!("../../../../README.md");
    let (_, call) = readme
        .split_once("localhost:8480/v1/calculations/")
        .unwrap();
    let name = call.split_whitespace().next().unwrap();
    let (_, body) = call.split_once("-d '").unwrap();
    let body = serde_json::from_str(body.split('\'').next().unwrap()).unwrap();
    let reply = ask(&Server::empty(), name, &body);
    // 7.9 g/L at 2 °C need 1.60 bar gauge (23 psi): physics of the model's documentation.
    let (bar, psi) = ("/answer/pressure/bar", "/answer/pressure/psi");
    assert!((number(&reply, bar) - 1.60).abs() < 0.01, "{reply}");
    assert!((number(&reply, psi) - 23.0).abs() < 0.5, "{reply}");
}
