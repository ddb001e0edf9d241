//! What is dangerous is said to be, with its source.

use serde_json::{Value, json};
use tests::Server;

use super::{ask, number};

/// The cautions of a reply that forbid something, or that merely mention a word.
fn cautions<'a>(reply: &'a Value, forbidden: bool, word: &str) -> Vec<&'a Value> {
    let all = reply["cautions"].as_array().unwrap().iter();
    all.filter(|caution| {
        let says = format!("{} {}", caution["about"], caution["says"]);
        caution["forbidden"] == forbidden && says.contains(word)
    })
    .collect()
}

#[track_caller]
fn check(name: &str, body: &Value, forbidden: bool, word: &str) {
    let reply = ask(&Server::empty(), name, body);
    assert!(
        !cautions(&reply, forbidden, word).is_empty(),
        "{name}: {}",
        reply["cautions"]
    );
}

#[test]
fn hot_water_scalds() {
    let body = json!({
        "liquid_l": 30, "power_w": 3500, "efficiency": 0.85, "from_c": 15, "to_c": 95,
    });
    check("heating/time", &body, false, "scald");
    let warm = json!({ "liquid_l": 30, "from_c": 15, "to_c": 40 });
    let reply = ask(&Server::empty(), "heating/energy", &warm);
    assert_eq!(reply["cautions"], json!([]));
}

#[test]
fn a_pressure_above_the_stamp_is_forbidden() {
    let body = json!({ "temperature_c": 2, "pressure_bar": 4, "rating_bar": 4 });
    check(
        "carbonation/dissolved",
        &body,
        true,
        "3.2 bar gauge is allowed",
    );
    let unknown = json!({ "temperature_c": 2, "pressure_bar": 4 });
    check("carbonation/dissolved", &unknown, false, "stamped on it");
}

#[test]
fn a_sealed_keg_that_warms_is_judged_by_its_stamp() {
    // 2 °C and 3 bar gauge reach 8.5 bar at 30 °C: above 80 % of 9 bar.
    let body = json!({ "temperature_c": 2, "pressure_bar": 3, "warm_c": 30, "rating_bar": 9 });
    let reply = ask(&Server::empty(), "limits/sealed-keg-warming", &body);
    assert!(
        (number(&reply, "/answer/pressure/bar") - 8.5).abs() < 0.1,
        "{reply}"
    );
    assert_eq!(reply["answer"]["verdict"]["accepted"], false);
    assert!(
        !cautions(&reply, true, "7.2 bar gauge is allowed").is_empty(),
        "{reply}"
    );
}

#[test]
fn a_full_cylinder_in_a_closed_room_is_forbidden() {
    // 9.07 kg in 50 m³ are 99 000 ppm: above all three exposure limits.
    let body = json!({ "release_kg": 9.07, "room_m3": 50 });
    let reply = ask(&Server::empty(), "limits/room-co2", &body);
    assert!(
        (number(&reply, "/answer/room_air/ppm") / 99_000.0 - 1.0).abs() < 0.01,
        "{reply}"
    );
    assert_eq!(cautions(&reply, true, "ppm is allowed").len(), 3, "{reply}");
}

#[test]
fn what_freezes_is_forbidden() {
    check(
        "cooling/keg",
        &json!({ "from_c": 20, "air_c": -5, "time_h": 12 }),
        true,
        "freezing point",
    );
    check(
        "limits/freezing",
        &json!({ "air_c": -5 }),
        true,
        "freezing point",
    );
}

#[test]
fn plastic_is_not_filled_hot() {
    check(
        "limits/fill-temperature",
        &json!({ "material": "pet", "temperature_c": 92 }),
        true,
        "PET",
    );
    let steel = json!({ "material": "stainless_steel", "temperature_c": 92 });
    let reply = ask(&Server::empty(), "limits/fill-temperature", &steel);
    assert_eq!(reply["answer"]["verdict"]["accepted"], true);
}

#[test]
fn ice_that_cooled_outside_is_not_drunk() {
    let body = json!({ "from_drinking_water": true, "cooled_outside": true, "into_drink": true });
    check("limits/food-ice", &body, true, "3-303.11");
    check(
        "ice/bath",
        &json!({ "from_c": 60, "to_c": 4 }),
        false,
        "never used as food",
    );
}

#[test]
fn backflow_and_copper_are_judged_by_their_rules() {
    let plain = json!({
        "device": "plain_check", "screened": true, "upstream_of_carbonator": true,
        "copper_after_it": false,
    });
    check("limits/backflow", &plain, true, "5-203.15");
    check(
        "limits/copper",
        &json!({ "material": "brass", "place": "drink" }),
        true,
        "4-101.14",
    );
}

#[test]
fn a_keg_above_its_serving_pressure_must_be_turned_down() {
    let body = json!({
        "temperature_c": 2, "pressure_bar": 4, "target_g_per_l": 9.1, "method": "still",
    });
    check("uptake/time-to-target", &body, false, "turn it down");
}

#[test]
fn a_fit_is_not_used_outside_its_readings() {
    let mut body = json!({ "readings": [{ "theory_kg": 8, "used_kg": 9 }, { "theory_kg": 10, "used_kg": 11.5 }] });
    body["use_at"] = json!(9);
    let reply = ask(&Server::empty(), "calibration/ice-factor", &body);
    assert_eq!(reply["answer"]["readings"], 2);
    body["use_at"] = json!(20);
    let problem = Server::empty()
        .post("/v1/calculations/calibration/ice-factor", &body)
        .problem(422, "no_answer");
    assert_eq!(problem["errors"][0]["field"], "use_at", "{problem}");
}
