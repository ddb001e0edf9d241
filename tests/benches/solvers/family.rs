//! The family of scenarios that the solvers are compared on.

use chrono::Duration;
use serde_json::{Value, json};

use super::instances::{instant, week};

/// Name and scenario of each.
pub(crate) fn all() -> Vec<(&'static str, Value)> {
    vec![
        ("sample week", week()),
        ("fleet and demand x 4", four_times()),
        ("two weeks", weeks(2)),
        ("eight weeks", weeks(8)),
        ("15-minute grid", grid(15)),
        ("scarce ice", scarce_ice()),
        ("scarce cold places", scarce_places()),
        ("scarce hands", scarce_hands()),
    ]
}

fn grid(minutes: u16) -> Value {
    let mut scenario = week();
    scenario["horizon"]["grid_minutes"] = json!(minutes);
    scenario
}

/// The same demand each week.
fn weeks(count: i64) -> Value {
    let mut scenario = week();
    scenario["horizon"]["days"] = json!(7 * count);
    let first = scenario["demand"].as_array().unwrap().clone();
    let later = (1..count).flat_map(|n| {
        first.iter().map(move |line| {
            let mut line = line.clone();
            let due = instant(&line["due"]) + Duration::weeks(n);
            line["due"] = json!(due.to_rfc3339());
            line["id"] = json!(format!("{}-{n}", line["id"].as_str().unwrap()));
            line
        })
    });
    let all: Vec<Value> = first.iter().cloned().chain(later).collect();
    scenario["demand"] = json!(all);
    // What is used up is bought again.
    scale(&mut scenario["stock"]["co2_kg"], count as f64);
    for material in scenario["stock"]["materials"].as_array_mut().unwrap() {
        scale(&mut material["amount"], count as f64);
    }
    scenario
}

/// Four such bars run as one: four times the kegs and the demand, with what it takes to make them.
fn four_times() -> Value {
    let mut scenario = week();
    for line in scenario["demand"].as_array_mut().unwrap() {
        scale(&mut line["litres"], 4.0);
    }
    let setup = scenario["setup"].as_object_mut().unwrap();
    for store in setup["cold_stores"].as_array_mut().unwrap() {
        scale(&mut store["places"], 4.0);
        scale(&mut store["cooling_w"], 4.0);
    }
    for station in setup["gas_stations"].as_array_mut().unwrap() {
        scale(&mut station["connections"], 4.0);
    }
    for shift in setup["crew"]["shifts"].as_array_mut().unwrap() {
        scale(&mut shift["hands"], 4.0);
    }
    scale(&mut setup["wash"]["stations"], 4.0);
    scale(&mut setup["ice"]["rate_kg_per_h"], 4.0);
    scale(&mut setup["ice"]["bin_kg"], 4.0);
    for draw in setup["ice"]["bar_draw"].as_array_mut().unwrap() {
        scale(&mut draw["kg"], 4.0);
    }
    copy_pots(setup);
    let stock = scenario["stock"].as_object_mut().unwrap();
    for kegs in stock["empty"].as_array_mut().unwrap() {
        scale(&mut kegs["clean"], 4.0);
        scale(&mut kegs["dirty"], 4.0);
    }
    for kegs in stock["ready"].as_array_mut().unwrap() {
        scale(&mut kegs["kegs"], 4.0);
    }
    scale(&mut stock["ice_kg"], 4.0);
    scale(&mut stock["co2_kg"], 4.0);
    for material in stock["materials"].as_array_mut().unwrap() {
        scale(&mut material["amount"], 4.0);
    }
    scenario
}

/// Four of each pot, all usable by the routes that use the first.
fn copy_pots(setup: &mut serde_json::Map<String, Value>) {
    let copies = |id: &Value| -> Vec<Value> {
        let id = id.as_str().unwrap();
        (1..=4).map(|n| json!(format!("{id}-{n}"))).collect()
    };
    let pots = setup["pots"].as_array().unwrap().iter();
    let pots: Vec<Value> = pots
        .flat_map(|pot| {
            copies(&pot["id"]).into_iter().map(move |id| {
                let mut pot = pot.clone();
                pot["id"] = id;
                pot
            })
        })
        .collect();
    setup["pots"] = json!(pots);
    for route in setup["routes"].as_array_mut().unwrap() {
        let pots: Vec<Value> = route["pots"]
            .as_array()
            .unwrap()
            .iter()
            .flat_map(copies)
            .collect();
        route["pots"] = json!(pots);
    }
}

fn scarce_ice() -> Value {
    let mut scenario = week();
    let ice = scenario["setup"]["ice"].as_object_mut().unwrap();
    scale(&mut ice["rate_kg_per_h"], 0.75);
    ice.remove("purchase");
    scenario
}

fn scarce_places() -> Value {
    let mut scenario = week();
    scenario["setup"]["cold_stores"][0]["places"] = json!(16);
    scenario
}

fn scarce_hands() -> Value {
    let mut scenario = week();
    let shifts = scenario["setup"]["crew"]["shifts"].as_array_mut().unwrap();
    shifts.truncate(1);
    scenario
}

/// Multiplies a number and keeps whole numbers whole.
fn scale(value: &mut Value, factor: f64) {
    *value = match value.as_u64() {
        Some(whole) => json!((whole as f64 * factor).round() as u64),
        None => json!(value.as_f64().unwrap() * factor),
    };
}
