//! Every number of a plan's work, derived a second time in Python from the scenario alone.

use std::path::Path;

use scheduler::answer::plan;
use scheduler::milp::Watch;
use scheduler::scenario::Scenario;
use scheduler::search::Limits;
use serde_json::{Value, json};

use crate::instances::days;
use crate::python;

/// Plans to hold it against: some days of the demo, and the same changed in what physics reads.
fn scenarios() -> Vec<(&'static str, Value)> {
    let mut blanket = days((0, 4), 60, 1.0, 3);
    blanket["policy"]["blanket_bar"] = json!(0.3);
    let mut high = days((1, 4), 60, 1.0, 4);
    high["site"]["elevation_m"] = json!(1600.0);
    high["policy"]["gas_at_c"] = json!(5.0);
    high["policy"]["fall_m"] = json!(0.4);
    let mut wet = days((2, 4), 60, 1.0, 5);
    wet["setup"]["ice"]["factor"] = json!(1.12);
    wet["setup"]["ice"]["temperature_c"] = json!(-8.0);
    wet["site"]["water"]["temperature_c"] = json!(9.0);
    wet["policy"]["tap_c"] = json!(5.0);
    vec![
        ("days", days((0, 4), 60, 1.0, 6)),
        ("blanket", blanket),
        ("high", high),
        ("wet", wet),
    ]
}

fn write(folder: &Path, name: &str, scenario: &Value, plan: &Value) {
    for (kind, value) in [("scenario", scenario), ("plan", plan)] {
        let path = folder.join(format!("{name}.{kind}.json"));
        std::fs::write(path, serde_json::to_vec(value).unwrap()).unwrap();
    }
}

/// A plan that is good enough: what physics makes of it is asked, not how good it is.
fn planned(scenario: &Value) -> Value {
    let scenario: Scenario = serde_json::from_value(scenario.clone()).unwrap();
    let scenario = scenario.check().unwrap();
    let limits = Limits {
        gap: 0.02,
        seconds: 300.0,
        ..Limits::default()
    };
    let plan = plan(&scenario, limits, Watch::default()).unwrap();
    serde_json::to_value(plan).unwrap()
}

#[test]
fn every_number_of_a_plan_follows_from_its_scenario() {
    let folder = tempfile::tempdir().unwrap();
    let mut gassed = 0;
    for (name, scenario) in scenarios() {
        let plan = planned(&scenario);
        gassed += plan["verdict"]["kegs_gassed"].as_u64().unwrap();
        write(folder.path(), name, &scenario, &plan);
    }
    assert!(gassed > 30, "only {gassed} kegs");
    let table = python::run("plan.py", folder.path(), &[]);
    let table = table.unwrap_or_else(|complaint| panic!("{complaint}"));
    for what in [
        "tap water",
        "air when gassed",
        "CO2 taken up",
        "CO2 at the tap",
    ] {
        assert!(table.contains(what), "{what} is missing in: {table}");
    }
}

/// It can fail: a pressure that is a quarter of a bar off is found and named.
#[test]
fn a_wrong_pressure_is_found_and_named() {
    let folder = tempfile::tempdir().unwrap();
    let scenario = days((0, 4), 60, 1.0, 6);
    let mut plan = planned(&scenario);
    let work = plan["work"].as_array_mut().unwrap();
    let mut changed = 0;
    for item in work.iter_mut().filter(|item| item["kind"] == "gas") {
        let bar = item["hold_bar"].as_f64().unwrap();
        item["hold_bar"] = json!(bar + 0.25);
        changed += 1;
    }
    assert!(changed > 0, "nothing is gassed");
    write(folder.path(), "off", &scenario, &plan);
    let complaint = python::run("plan.py", folder.path(), &[]).unwrap_err();
    assert!(complaint.contains("CO2 held, g/L"), "{complaint}");
}
