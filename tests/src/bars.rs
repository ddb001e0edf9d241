//! Bars that are nothing like the demo, by what a person knows of them: those on the shelf, elsewhere.

use scheduler::draft::shelf;
use serde_json::{Value, json};

fn on_shelf(id: &str, place: Value) -> Value {
    let one = shelf().into_iter().find(|one| one.id == id);
    let one = one.unwrap_or_else(|| panic!("{id} is not on the shelf"));
    let mut answers = serde_json::to_value(one.answers).unwrap();
    answers["place"] = place;
    answers
}

/// The bar of a counter: one pot, an under-counter fridge, ten kegs, ice in bags, one regulator.
#[must_use]
pub fn corner_bar() -> Value {
    on_shelf("counter", json!({ "time_zone": "Europe/Madrid" }))
}

/// A stall: one pot on a gas ring, an upright fridge, crates of bottles.
#[must_use]
pub fn stall() -> Value {
    let place = json!({ "time_zone": "America/New_York", "tap_c": 12.0 });
    on_shelf("stall", place)
}
