//! Scenarios that make no sense are refused with one clear message for each fault.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

use scheduler::sample;
use scheduler::scenario::read;
use serde_json::{Value, json};

/// The demo with one value changed: a JSON pointer and the new value; null removes the field.
fn changed(pointer: &str, value: Value) -> String {
    let mut scenario = serde_json::to_value(sample::fixed()).unwrap();
    let (parent, last) = pointer.rsplit_once('/').unwrap();
    let parent = scenario.pointer_mut(parent).unwrap();
    match parent {
        Value::Object(fields) if value.is_null() => {
            fields.remove(last);
        }
        Value::Object(fields) => {
            fields.insert(last.to_owned(), value);
        }
        Value::Array(items) => items[last.parse::<usize>().unwrap()] = value,
        other => panic!("{other} has no fields"),
    }
    scenario.to_string()
}

/// Reading or checking the changed demo fails with a message that holds all these words.
fn check(pointer: &str, value: Value, words: &[&str]) {
    let message = match read(&changed(pointer, value)) {
        Err(error) => error.to_string(),
        Ok(scenario) => scenario.check().unwrap_err().to_string(),
    };
    for word in words {
        assert!(
            message.contains(word),
            "{pointer}: \"{word}\" is not in: {message}"
        );
    }
}

#[test]
fn values_outside_their_bounds() {
    check(
        "/setup/pots/0/power_w",
        json!(0),
        &["setup.pots[0].power_w", "0 W", "200 to 100000"],
    );
    check(
        "/setup/pots/0/volume_l",
        json!(-5),
        &["setup.pots[0].volume_l", "-5", "2 to 1000"],
    );
    check(
        "/demand/0/litres",
        json!(-1),
        &["demand[0].litres", "-1", "0.1 to 10000"],
    );
    check(
        "/demand/0/priority",
        json!(9),
        &["demand[0].priority", "9", "1 (served first) to 5"],
    );
    check(
        "/horizon/grid_minutes",
        json!(20),
        &["horizon.grid_minutes", "20", "15, 30 and 60"],
    );
    check(
        "/horizon/days",
        json!(57),
        &["horizon.days", "57", "1 to 56"],
    );
    check(
        "/site/currency",
        json!("euro"),
        &["site.currency", "euro", "three capital letters"],
    );
    check(
        "/site/id",
        json!("Bad Id"),
        &["site.id", "Bad Id", "a-z, 0-9"],
    );
    check("/site/time_zone", json!("Mars/Base"), &["site.time_zone"]);
}

#[test]
fn fields_that_are_missing_unknown_or_of_the_wrong_type() {
    check(
        "/setup/pots/0/powr_w",
        json!(1),
        &["setup.pots[0]", "unknown field `powr_w`"],
    );
    check(
        "/setup/pots/0/power_w",
        Value::Null,
        &["setup.pots[0]", "missing field `power_w`"],
    );
    check(
        "/demand/0/litres",
        json!("many"),
        &["demand[0].litres", "string \"many\""],
    );
    check(
        "/demand/0/due",
        json!("2026-02-30T10:00:00Z"),
        &["demand[0].due"],
    );
}

#[test]
fn names_that_do_not_exist() {
    check(
        "/demand/0/product",
        json!("cola"),
        &["demand[0].product", "cola", "plain-soda"],
    );
    check(
        "/setup/routes/0/pots/0",
        json!("kettle"),
        &["routes[0].pots[0]", "kettle", "large-pot"],
    );
    check(
        "/stock/ready/0/store",
        json!("attic"),
        &["stock.ready[0].store", "attic", "walk-in"],
    );
    check(
        "/demand/1/id",
        json!("mon-plain-soda"),
        &["demand[1].id", "a second line"],
    );
}

#[test]
fn fields_that_contradict_each_other() {
    check(
        "/demand/0/due",
        json!("2026-05-30T17:00:00+01:00"),
        &["demand[0].due", "2026-05-30", "2026-06-01"],
    );
    check(
        "/demand/0/due",
        json!("2026-07-30T17:00:00+01:00"),
        &["demand[0].due", "2026-06-08"],
    );
    check(
        "/setup/pots/0/smallest_fill_l",
        json!(90),
        &["smallest_fill_l", "90 L", "60 L"],
    );
    check(
        "/setup/keg_types/0/fill_l",
        json!(19.5),
        &["keg_types[0].fill_l", "headspace"],
    );
    check(
        "/setup/crew/shifts/0/to",
        json!("08:00:00"),
        &["shifts[0].to", "later than"],
    );
    check(
        "/stock/ready/0/kegs",
        json!(40),
        &["stock", "walk-in", "it has 24"],
    );
    check(
        "/stock/on_tap/0/litres",
        json!(30),
        &["stock.on_tap[0].litres", "18.5"],
    );
    check(
        "/stock/ready/0/gassed_at",
        json!("2026-07-01T00:00:00Z"),
        &["gassed_at", "later"],
    );
    check(
        "/horizon/start",
        json!("2026-06-01T06:10:00+01:00"),
        &["horizon.start", "30 minutes"],
    );
}

/// A keg type that no station lists.
#[test]
fn a_keg_nothing_can_carbonate() {
    let mut scenario = sample::fixed();
    let small = scenario.setup.keg_types[1].id.clone();
    for station in &mut scenario.setup.gas_stations {
        station.keg_types.retain(|id| *id != small);
    }
    let message = scenario.check().unwrap_err().to_string();
    assert!(
        message.contains("setup.keg_types[1]: nothing can carbonate \"keg-9\""),
        "{message}"
    );
}

#[test]
fn what_cannot_be_made() {
    check("/setup/routes/0/heat_to_c", json!(110), &["boils at"]);
    check(
        "/setup/products/0/carbonation_g_per_l",
        json!(25),
        &["products[0].carbonation_g_per_l", "25"],
    );
    check("/policy/gas_at_c", json!(1.0), &["no route fills"]);
}

#[test]
fn what_would_be_dangerous() {
    check(
        "/setup/gas_stations/0/method/highest_bar",
        json!(8.5),
        &["highest_bar", "8.5 bar", "7.2 bar"],
    );
    check(
        "/policy/purge_bar",
        json!(8.0),
        &["policy.purge_bar", "7.2 bar"],
    );
    check(
        "/setup/keg_types/0/material",
        json!("pet"),
        &["hottest_fill_c", "49 °C"],
    );
}

#[test]
fn too_much_demand_is_one_message() {
    let mut scenario = sample::fixed();
    let line = scenario.demand[0].clone();
    scenario.demand = vec![line; 10_000];
    let faults = scenario.check().unwrap_err();
    assert_eq!(faults.0.len(), 1);
    let message = faults.to_string();
    assert!(
        message.contains("10000 lines found; at most 2000"),
        "{message}"
    );
}
