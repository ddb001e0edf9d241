//! Scenarios made from the demo week, whose programs other solvers solve too.

use chrono::{DateTime, Duration, FixedOffset};
use serde_json::{Value, json};

/// The demo week with fixed dates.
pub(crate) fn week() -> Value {
    serde_json::to_value(scheduler::sample::fixed()).unwrap()
}

/// Some days of the demo week, so many minutes to a step, with so many times the demand for the
/// first few products.
pub(crate) fn days((first, days): (i64, i64), grid: u16, times: f64, products: usize) -> Value {
    let mut scenario = week();
    let later = Duration::days(first);
    let start = instant(&scenario["horizon"]["start"]) + later;
    let end = start + Duration::days(days);
    scenario["horizon"] = json!({"start": start.to_rfc3339(), "days": days, "grid_minutes": grid});
    let list = scenario["setup"]["products"].as_array_mut().unwrap();
    list.truncate(products);
    let kept: Vec<Value> = list.iter().map(|p| p["id"].clone()).collect();
    for (list, when) in [("ready", "gassed_at"), ("on_tap", "tapped_at")] {
        let stock = scenario["stock"][list].as_array_mut().unwrap();
        stock.retain(|kegs| kept.contains(&kegs["product"]));
        for kegs in stock {
            kegs[when] = json!((instant(&kegs[when]) + later).to_rfc3339());
        }
    }
    let demand = scenario["demand"].as_array_mut().unwrap();
    demand.retain(|line| {
        let due = instant(&line["due"]);
        kept.contains(&line["product"]) && due >= start && due < end
    });
    more(&mut scenario, times);
    scenario
}

/// So many times the demand.
pub(crate) fn more(scenario: &mut Value, times: f64) {
    for line in scenario["demand"].as_array_mut().unwrap() {
        let litres = line["litres"].as_f64().unwrap() * times;
        line["litres"] = json!((litres * 10.0).round() / 10.0);
    }
}

/// Hardly any ice, and none to be bought.
pub(crate) fn scarce_ice(mut scenario: Value) -> Value {
    scenario["stock"]["ice_kg"] = json!(20.0);
    let ice = scenario["setup"]["ice"].as_object_mut().unwrap();
    ice.insert("rate_kg_per_h".to_owned(), json!(1.0));
    ice.remove("purchase");
    scenario
}

/// One pair of hands for three hours a day.
pub(crate) fn scarce_hands(mut scenario: Value) -> Value {
    let shifts = scenario["setup"]["crew"]["shifts"].as_array_mut().unwrap();
    shifts.truncate(1);
    shifts[0]["to"] = json!("12:00:00");
    scenario
}

pub(crate) fn instant(value: &Value) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(value.as_str().unwrap()).unwrap()
}
