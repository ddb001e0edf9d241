//! Three bars that are nothing like the demo: each is drafted, and nothing in it is left unsaid.

use serde_json::{Value, json};

use super::{Answers, Draft, draft};
use crate::scenario::{Fault, Faults, GasMethod};

const NOW: &str = "2026-06-01T09:00:00Z";

/// The bar of a counter: one pot, ten kegs, ice in bags, one regulator.
fn bar() -> Value {
    json!({
        "name": "Corner bar",
        "place": { "time_zone": "Europe/Madrid", "elevation_m": 650.0 },
        "pots": [{ "litres": 40.0, "kw": 3.0 }],
        "cold": [{ "kind": "under_counter", "kegs": 8 }],
        "kegs": [{ "litres": 19.0, "count": 10 }],
        "gas": { "connections": 4, "regulators": 1, "highest_bar": 2.5 },
        "ice": { "bag_kg": 20.0 },
        "crew": [{ "days": ["wed", "thu", "fri", "sat"], "from": "11:00:00", "to": "17:00:00" }],
        "drinks": [
            { "name": "Plain soda", "fizz": "high" },
            { "name": "Ginger soda", "fizz": "medium", "sweet": true },
            { "name": "Tonic", "fizz": "high", "sweet": true },
        ],
        "nights": [
            { "days": ["thu"], "opens": "18:00:00", "kegs": 2.0 },
            { "days": ["fri", "sat"], "opens": "18:00:00", "kegs": 3.0 },
        ],
    })
}

/// A stall: one pot on a gas ring, an upright fridge, crates of bottles.
fn stall() -> Value {
    json!({
        "name": "Market stall",
        "place": { "time_zone": "America/New_York", "tap_c": 12.0 },
        "pots": [{ "litres": 25.0 }],
        "cold": [{ "kind": "upright", "kegs": 6 }],
        "kegs": [{ "litres": 1.0, "count": 8, "bottles_per_crate": 12 }],
        "gas": { "connections": 2, "highest_bar": 3.5 },
        "ice": { "kg_per_day": 40.0, "bin_kg": 25.0 },
        "crew": [{ "days": ["thu", "fri", "sat"], "from": "08:00:00", "to": "14:00:00" }],
        "drinks": [{ "name": "Soda", "fizz": "high" }, { "name": "Lemonade", "fizz": "medium", "sweet": true }],
        "nights": [{ "days": ["sat"], "opens": "10:00:00", "kegs": 4.0 }],
    })
}

/// A hall: four pots, a walk-in, 120 kegs, a regulator for each connection.
fn hall() -> Value {
    json!({
        "name": "Hall",
        "place": { "time_zone": "Europe/Berlin", "elevation_m": 34.0 },
        "pots": [{ "litres": 100.0, "kw": 9.0, "count": 4 }],
        "cold": [{ "kind": "walk_in", "kegs": 100 }, { "kind": "under_counter", "kegs": 8 }],
        "kegs": [{ "litres": 19.0, "count": 80 }, { "litres": 30.0, "count": 40 }],
        "gas": { "connections": 24, "regulators": 24, "highest_bar": 4.0 },
        "ice": { "kg_per_day": 600.0, "bin_kg": 400.0 },
        "crew": [
            { "days": ["mon", "tue", "wed", "thu", "fri", "sat"], "from": "08:00:00", "to": "18:00:00", "hands": 2 },
        ],
        "drinks": [
            { "name": "Plain soda", "fizz": "very_high" },
            { "name": "Cola", "fizz": "high", "sweet": true },
            { "name": "Orange", "fizz": "medium", "sweet": true },
        ],
        "nights": [
            { "days": ["fri"], "opens": "19:00:00", "kegs": 15.0 },
            { "days": ["sat"], "opens": "19:00:00", "kegs": 24.0 },
        ],
    })
}

fn made(answers: &Value) -> Draft {
    let answers: Answers = serde_json::from_value(answers.clone()).unwrap();
    draft(&answers, NOW.parse().unwrap()).unwrap()
}

fn refused(answers: &Value) -> Vec<Fault> {
    let answers: Answers = serde_json::from_value(answers.clone()).unwrap();
    let Faults(faults) = draft(&answers, NOW.parse().unwrap()).unwrap_err();
    faults
}

#[test]
fn bars_of_three_kinds_pass_every_check() {
    for answers in [bar(), stall(), hall()] {
        let draft = made(&answers);
        assert!(draft.scenario.check().is_ok());
    }
}

/// The bar's week begins on the next day, and its Thursday wants two kegs, less what foams away:
/// 2 × 18.51 L × 0.97 over three drinks are 11.9 L of each.
#[test]
fn nights_are_wanted_in_litres() {
    let draft = made(&bar());
    assert_eq!(
        draft.scenario.horizon.start.to_rfc3339(),
        "2026-06-02T06:00:00+02:00"
    );
    let first = &draft.scenario.demand[0];
    assert_eq!(first.due.to_rfc3339(), "2026-06-04T18:00:00+02:00");
    assert!((first.litres.litres() - 11.9).abs() < 1e-9, "{first:?}");
    assert_eq!(draft.scenario.demand.len(), 9);
}

/// One regulator gives one pressure: kegs are shaken one at a time there, whatever the connections.
#[test]
fn a_board_with_one_regulator_gasses_one_keg_at_a_time() {
    let draft = made(&bar());
    let station = &draft.scenario.setup.gas_stations[0];
    assert_eq!(station.connections, 1);
    assert!(matches!(station.method, GasMethod::Shaken { .. }));
    let told = draft
        .assumed
        .iter()
        .find(|a| a.field == "setup.gas_stations[0].connections");
    assert!(told.unwrap().why.contains("1 of your 4 connections"));
    let station = &made(&hall()).scenario.setup.gas_stations[0];
    assert_eq!(station.connections, 24);
    assert!(matches!(station.method, GasMethod::Rest { .. }));
}

/// Every number of a draft was told or is marked as assumed.
#[test]
fn nothing_is_made_up_in_silence() {
    for answers in [bar(), stall(), hall()] {
        let draft = made(&answers);
        let document = serde_json::to_value(&draft.scenario).unwrap();
        for one in &draft.assumed {
            assert!(one.stands_in(&document), "{}", one.field);
        }
        let mut silent = Vec::new();
        leaves(&document, String::new(), &mut |path| {
            let assumed = draft.assumed.iter().any(|a| path.starts_with(&a.field));
            if !assumed && !told(path) {
                silent.push(path.to_owned());
            }
        });
        assert!(silent.is_empty(), "{silent:#?}");
    }
}

/// Fields that repeat an answer, name something, or say nothing.
fn told(path: &str) -> bool {
    let last = path.rsplit('.').next().unwrap();
    let named = [
        "id", "name", "product", "priority", "kind", "due", "material",
    ];
    let answered = [
        "site.time_zone",
        "site.elevation_m",
        "site.currency",
        "site.water.temperature_c",
        "setup.ice.rate_kg_per_h",
        "setup.ice.bin_kg",
        "horizon",
        "setup.crew.shifts",
    ];
    let own = [
        "volume_l",
        "power_w",
        "places",
        "air_c",
        "per_crate",
        "connections",
        "highest_bar",
        "sugar_brix",
    ];
    named.contains(&last)
        || own.contains(&last)
        || answered.iter().any(|start| path.starts_with(start))
}

fn leaves(value: &Value, path: String, tell: &mut impl FnMut(&str)) {
    match value {
        Value::Object(map) => {
            for (name, inner) in map {
                let dot = if path.is_empty() { "" } else { "." };
                leaves(inner, format!("{path}{dot}{name}"), tell);
            }
        }
        Value::Array(list) => {
            for (n, inner) in list.iter().enumerate() {
                leaves(inner, format!("{path}[{n}]"), tell);
            }
        }
        _ => tell(&path),
    }
}

#[test]
fn all_that_is_wrong_is_told_at_once_by_its_answer() {
    let mut answers = bar();
    answers["crew"] = json!([]);
    answers["cold"][0]["kegs"] = json!(0);
    answers["ice"] = json!({});
    answers["nights"][1]["days"] = json!([]);
    let fields: Vec<String> = refused(&answers).into_iter().map(|f| f.field).collect();
    assert_eq!(fields, ["crew", "cold[0].kegs", "nights[1].days", "ice"]);
    let mut answers = bar();
    answers["crew"][0]["to"] = json!("09:00:00");
    let faults = refused(&answers);
    assert_eq!(faults[0].field, "crew[0].to", "{faults:?}");
}

/// 8.2 g/L settle at some 1.9 bar at 4 °C: a board of 1.5 bar cannot give that.
#[test]
fn a_drink_the_board_cannot_gas_is_refused_with_what_it_takes() {
    let mut answers = bar();
    answers["gas"]["highest_bar"] = json!(1.5);
    answers["drinks"][0]["fizz"] = json!("very_high");
    let faults = refused(&answers);
    assert_eq!(faults[0].field, "drinks[0].fizz", "{faults:?}");
    assert!(
        faults[0].what.contains("your gas board gives 1.5 bar"),
        "{faults:?}"
    );
}

/// At 3,000 m water boils at some 90 °C (standard atmosphere, IAPWS): it is not made hotter.
#[test]
fn high_up_water_is_not_made_hotter_than_it_boils() {
    let mut answers = bar();
    answers["place"]["elevation_m"] = json!(3000.0);
    let hot = made(&answers).scenario.setup.routes[0].heat_to_c.celsius();
    assert!((87.0..90.0).contains(&hot), "{hot}");
}
