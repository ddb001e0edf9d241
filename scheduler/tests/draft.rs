//! Bars that are nothing like the demo, planned from what a person knows of them.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

use scheduler::answer::plan;
use scheduler::draft::{draft, shelf};
use scheduler::milp::Watch;
use scheduler::plan::Plan;
use scheduler::search::Limits;
use serde_json::{Value, json};

/// The plan of a bar on the shelf, at another place. Every plan was walked by the replay before it is
/// given.
fn planned(id: &str, place: Value) -> Plan {
    let on_shelf = shelf().into_iter().find(|one| one.id == id);
    let mut answers = on_shelf.unwrap().answers;
    answers.place = serde_json::from_value(place).unwrap();
    // A Monday morning: the week begins on Tuesday.
    let draft = draft(&answers, "2026-06-01T06:00:00Z".parse().unwrap()).unwrap();
    let scenario = draft.scenario.check().unwrap();
    let limits = Limits {
        // A plan that is good enough to serve by; the bound of a large week takes long.
        gap: 0.05,
        seconds: 600.0,
        ..Limits::default()
    };
    plan(&scenario, limits, Watch::default()).unwrap()
}

/// Ten kegs, a pot of 40 L, six hours a day: eight kegs can be made before Saturday's bar.
#[test]
fn a_bar_with_one_pot_serves_its_nights() {
    let plan = planned("counter", json!({ "time_zone": "Europe/Madrid" }));
    assert!(plan.short_litres() < 1.0, "{:?}", plan.services);
}

#[test]
fn a_stall_with_crates_of_bottles_serves_its_market() {
    let plan = planned(
        "stall",
        json!({ "time_zone": "America/New_York", "tap_c": 12.0 }),
    );
    assert!(plan.short_litres() < 1.0, "{:?}", plan.services);
}

#[test]
fn a_hall_with_four_pots_serves_its_weekend() {
    let plan = planned(
        "hall",
        json!({ "time_zone": "Europe/Berlin", "elevation_m": 34.0 }),
    );
    // 38 kegs are wanted; a twentieth of them may be left by the gap.
    assert!(
        plan.short_litres() < 38.0 * 18.0 * 0.05,
        "{:?}",
        plan.services
    );
}
