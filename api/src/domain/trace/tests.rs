//! Two generations of a small plan, followed both ways.

use scheduler::plan::{Plan, WorkItem};
use serde_json::{Value, json};

use super::*;

fn at(hour: u32) -> String {
    format!("2026-06-02T{hour:02}:00:00+01:00")
}

fn item(id: &str, hour: u32, rest: &Value) -> WorkItem {
    let mut json = json!({ "id": id, "start": at(hour), "end": at(hour + 1), "hands_min": 5.0,
        "kind": id.split('-').next() });
    json.as_object_mut()
        .unwrap()
        .extend(rest.as_object().unwrap().clone());
    serde_json::from_value(json).unwrap()
}

fn boil(id: &str, hour: u32) -> WorkItem {
    item(
        id,
        hour,
        &json!({ "route": "r", "pot": "p", "tap_l": 20.0, "agent_g": 1.0, "heat_to_c": 95.0,
            "heating_min": 30.0, "hold_min": 5.0, "air_mg_per_l": 8.0, "chill_at": at(hour),
            "ice_in_kg": 0.0, "ice_bath_kg": 0.0, "chill_to_c": 20.0, "fill_from": at(hour + 1),
            "makes_l": 20.0, "left_l": 0.0 }),
    )
}

fn fill(id: &str, hour: u32, from: &str) -> WorkItem {
    item(
        id,
        hour,
        &json!({ "route": "r", "from": [from], "keg_type": "k", "kegs": 1, "store": "s",
            "litres_each": 18.0, "at_c": 20.0, "cold_at": at(hour + 1) }),
    )
}

fn gas(id: &str, hour: u32, from: Option<&str>) -> WorkItem {
    item(
        id,
        hour,
        &json!({ "station": "g", "product": "plain", "keg_type": "k", "kegs": 1, "store": "s",
            "from": [{ "item": from, "kegs": 1 }], "syrup_l_each": 0.0, "purges": 3,
            "purge_bar": 2.0, "regulator_bar": 1.5, "hold_bar": 1.0, "uptake_min": 60.0,
            "target_g_per_l": 7.0, "co2_g_each": 200.0, "ready_at": at(hour + 1) }),
    )
}

fn tap(id: &str, hour: u32, from: Option<&str>) -> WorkItem {
    item(
        id,
        hour,
        &json!({ "product": "plain", "keg_type": "k", "kegs": 1, "store": "s",
            "from": [{ "item": from, "kegs": 1 }], "serve_bar": 1.0 }),
    )
}

fn generation(start: u32, work: Vec<WorkItem>) -> Generation {
    let verdict = json!({ "status": "optimal", "worth": 0.0, "bound": 0.0, "gap": 0.0, "cost": 0.0,
        "currency": "EUR", "served_l": 0.0, "short_l": 0.0, "kegs_gassed": 0, "boils": 0,
        "replayed_minutes": 0 });
    let plan: Plan = serde_json::from_value(json!({ "site": "bar", "start": at(start),
        "end": at(23), "grid_minutes": 30, "verdict": verdict, "services": [], "work": work,
        "needs": [] }))
    .unwrap();
    let mut scenario = scheduler::sample::fixed();
    scenario.stock.ready.clear();
    scenario.stock.filled.clear();
    Generation {
        id: PlanId::new(),
        plan,
        scenario,
        records: Records::new(),
    }
}

/// A boil fills a keg, it is gassed, and after a replanning at 12:00 it is tapped as stock, while
/// another keg from the same boil is still to be gassed.
fn family() -> Vec<Generation> {
    let mut first = generation(
        8,
        vec![
            boil("boil-1", 8),
            fill("fill-1", 9, "boil-1"),
            gas("gas-1", 10, Some("fill-1")),
            fill("fill-2", 11, "boil-1"),
            gas("gas-2", 14, Some("fill-2")),
            tap("tap-1", 17, Some("gas-1")),
        ],
    );
    let mut second = generation(
        12,
        vec![
            gas("gas-2", 15, None),
            tap("tap-1", 17, None),
            tap("tap-2", 18, Some("gas-2")),
        ],
    );
    second.scenario.stock.ready = serde_json::from_value(json!([{ "product": "plain",
        "keg_type": "k", "store": "s", "kegs": 1, "gassed_at": at(11) }]))
    .unwrap();
    second.scenario.stock.filled = serde_json::from_value(json!([{ "keg_type": "k", "store": "s",
        "kegs": 1, "temperature_c": 3.0 }]))
    .unwrap();
    first.records.insert(
        serde_json::from_value(json!("boil-1")).unwrap(),
        WorkRecord {
            state: WorkState::Finished,
            ..WorkRecord::PLANNED
        },
    );
    vec![first, second]
}

fn names(generations: &[Generation], n: usize, item: &str, direction: Direction) -> Vec<String> {
    let start = TraceItem {
        plan: generations[n].id,
        item: serde_json::from_value(json!(item)).unwrap(),
    };
    let steps = trace(generations, &start, direction).unwrap();
    steps.iter().map(|step| step.item.id.to_string()).collect()
}

#[test]
fn a_keg_is_followed_back_to_its_water_across_a_replanning() {
    let family = family();
    let back = |item| names(&family, 1, item, Direction::Back);
    assert_eq!(back("tap-1"), ["tap-1", "gas-1", "fill-1", "boil-1"]);
    assert_eq!(back("tap-2"), ["tap-2", "gas-2", "fill-2", "boil-1"]);
}

#[test]
fn a_boil_is_followed_on_to_its_kegs() {
    let family = family();
    let mut on = names(&family, 0, "boil-1", Direction::Forward);
    on.sort();
    assert_eq!(
        on,
        [
            "boil-1", "fill-1", "fill-2", "gas-1", "gas-2", "tap-1", "tap-2"
        ]
    );
    // Asked by the plan that was replanned, the work is found where it is now.
    assert_eq!(
        names(&family, 0, "gas-2", Direction::Forward),
        ["gas-2", "tap-2"]
    );
}

#[test]
fn what_was_on_hand_has_no_maker() {
    let alone = [generation(8, vec![tap("tap-1", 17, None)])];
    let start = TraceItem {
        plan: alone[0].id,
        item: serde_json::from_value(json!("tap-1")).unwrap(),
    };
    let steps = trace(&alone, &start, Direction::Back).unwrap();
    assert_eq!(steps.len(), 1);
    assert!(steps[0].sources[0].made_by.is_empty());
    let nobody = TraceItem {
        item: serde_json::from_value(json!("tap-9")).unwrap(),
        ..start
    };
    assert!(trace(&alone, &nobody, Direction::Back).is_none());
}
