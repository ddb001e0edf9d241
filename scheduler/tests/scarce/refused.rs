//! What makes no sense is refused with the field, what was found and what is allowed.

use serde_json::{Value, json};

use scheduler::sample;
use scheduler::scenario::read;

/// Setting a value of the demo fails with a message that holds all these words.
fn check(pointer: &str, value: Value, words: &[&str]) {
    let mut scenario = serde_json::to_value(sample::fixed()).unwrap();
    let (parent, last) = pointer.rsplit_once('/').unwrap();
    let parent = scenario.pointer_mut(parent).unwrap();
    parent
        .as_object_mut()
        .unwrap()
        .insert(last.to_owned(), value);
    let message = match read(&scenario.to_string()) {
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
fn circuits() {
    check(
        "/setup/pots/0/circuit",
        json!("ring"),
        &["pots[0].circuit", "no circuit \"ring\""],
    );
    let mut scenario = sample::fixed();
    scenario.setup.circuits = serde_json::from_value(json!([
        {"id": "ring", "name": "Ring", "power_w": 4000}
    ]))
    .unwrap();
    scenario.setup.pots[0].circuit = Some(crate::base::id("ring"));
    let message = scenario.check().unwrap_err().to_string();
    assert!(
        message.contains("gives 4000 W; the pot takes 4500 W"),
        "{message}"
    );
}

#[test]
fn calendars() {
    let breaks = |from: &str, to: &str| json!([{"from": from, "to": to}]);
    let field = "/setup/crew/shifts/0/breaks";
    check(
        field,
        breaks("08:00:00", "08:30:00"),
        &["breaks[0]", "09:00:00 to 16:00:00"],
    );
    check(field, breaks("12:30:00", "12:00:00"), &["breaks[0]"]);
    let outage = |equipment: Value, until: &str, lost: Option<u16>| {
        json!([{"equipment": equipment, "from": "2026-06-02T08:00:00+01:00", "until": until,
            "lost": lost}])
    };
    let pot = json!({"kind": "pot", "pot": "kettle"});
    let field = "/setup/outages";
    let later = "2026-06-02T12:00:00+01:00";
    check(
        field,
        outage(pot, later, None),
        &["outages[0].equipment.pot", "kettle"],
    );
    let ice = json!({"kind": "ice_machine"});
    check(
        field,
        outage(ice.clone(), later, Some(2)),
        &["outages[0].lost", "as a whole"],
    );
    let before = "2026-06-01T12:00:00+01:00";
    check(
        field,
        outage(ice, before, None),
        &["outages[0].until", "later"],
    );
    let quiet = json!([{"days": [], "from": "22:00:00", "to": "07:00:00", "silent": ["heating"]}]);
    check(
        "/setup/quiet_hours",
        quiet,
        &["quiet_hours[0].days", "1 to 7"],
    );
}

#[test]
fn materials() {
    let listed = |id: &str, unit: &str, pack: f64| json!([{"id": id, "name": "It", "unit": unit, "pack": pack}]);
    let field = "/setup/materials";
    check(
        field,
        listed("ascorbate", "kg", 1.0),
        &["materials[0].unit", "measured in g"],
    );
    check(
        field,
        listed("ginger-syrup", "g", 1.0),
        &["materials[0].unit", "measured in L"],
    );
    check(field, listed("peel", "g", 0.0), &["materials[0].pack"]);
    check(field, listed("co2", "kg", 9.0), &["materials[0].id"]);
    let delivery = json!([{"material": "gold", "amount": 1, "at": "2026-06-02T08:00:00+01:00"}]);
    check(
        "/stock/deliveries",
        delivery,
        &["stock.deliveries[0].material", "gold"],
    );
    let ingredient = json!([{"material": "peel", "per_l": 2}]);
    check(
        "/setup/products/0/ingredients",
        ingredient,
        &["ingredients[0].material", "peel"],
    );
    let cylinders = json!({"coupled": 0, "residual_kg": 9.5, "change_min": 10});
    check(
        "/setup/cylinders",
        cylinders,
        &["cylinders.coupled", "cylinders.residual_kg"],
    );
}

#[test]
fn containers_products_and_policy() {
    check(
        "/setup/keg_types/0/per_crate",
        json!(1),
        &["keg_types[0].per_crate", "2 to 60"],
    );
    let itself = json!([{"product": "plain-soda", "price_per_l": 1}]);
    check(
        "/setup/products/0/substitutes",
        itself,
        &["substitutes[0].product", "another"],
    );
    let unknown = json!([{"product": "cola", "price_per_l": 1}]);
    check(
        "/setup/products/0/substitutes",
        unknown,
        &["substitutes[0].product", "cola"],
    );
    check(
        "/policy/water_stands_min",
        json!(20),
        &["policy.water_stands_min", "30 min"],
    );
    check("/horizon/days", json!(57), &["horizon.days", "1 to 56"]);
}
