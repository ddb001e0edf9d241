//! Bars that are nothing like the demo, by what a person knows of them.

use serde_json::{Value, json};

/// The bar of a counter: one pot, an under-counter fridge, ten kegs, ice in bags, one regulator.
#[must_use]
pub fn corner_bar() -> Value {
    json!({
        "name": "Corner bar",
        "place": { "time_zone": "Europe/Madrid" },
        "pots": [{ "litres": 40.0, "kw": 3.0 }],
        "cold": [{ "kind": "under_counter", "kegs": 8 }],
        "kegs": [{ "litres": 19.0, "count": 10 }],
        "gas": { "connections": 4, "regulators": 1, "highest_bar": 2.5 },
        "ice": { "bag_kg": 20.0 },
        "crew": [{ "days": ["tue", "wed", "thu", "fri", "sat"], "from": "11:00:00", "to": "17:00:00" }],
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
#[must_use]
pub fn stall() -> Value {
    json!({
        "name": "Market stall",
        "place": { "time_zone": "America/New_York", "tap_c": 12.0 },
        "pots": [{ "litres": 25.0 }],
        "cold": [{ "kind": "upright", "kegs": 6 }],
        "kegs": [{ "litres": 1.0, "count": 8, "bottles_per_crate": 12 }],
        "gas": { "connections": 2, "highest_bar": 3.5 },
        "ice": { "kg_per_day": 40.0, "bin_kg": 25.0 },
        "crew": [{ "days": ["wed", "thu", "fri"], "from": "08:00:00", "to": "16:00:00" }],
        "drinks": [
            { "name": "Soda", "fizz": "high" },
            { "name": "Lemonade", "fizz": "medium", "sweet": true },
        ],
        "nights": [{ "days": ["sat"], "opens": "10:00:00", "kegs": 3.0 }],
    })
}

/// A hall: four pots, a walk-in, 120 kegs, a regulator for each connection.
#[must_use]
pub fn hall() -> Value {
    json!({
        "name": "Hall",
        "place": { "time_zone": "Europe/Berlin", "elevation_m": 34.0 },
        "pots": [{ "litres": 100.0, "kw": 9.0, "count": 4 }],
        "cold": [{ "kind": "walk_in", "kegs": 100 }, { "kind": "under_counter", "kegs": 8 }],
        "kegs": [{ "litres": 19.0, "count": 120 }],
        "gas": { "connections": 24, "regulators": 24, "highest_bar": 4.0 },
        "ice": { "kg_per_day": 600.0, "bin_kg": 400.0 },
        "crew": [{
            "days": ["mon", "tue", "wed", "thu", "fri", "sat"],
            "from": "08:00:00", "to": "18:00:00", "hands": 2,
        }],
        "drinks": [
            { "name": "Plain soda", "fizz": "very_high" },
            { "name": "Cola", "fizz": "high", "sweet": true },
        ],
        "nights": [
            { "days": ["fri"], "opens": "19:00:00", "kegs": 14.0 },
            { "days": ["sat"], "opens": "19:00:00", "kegs": 24.0 },
        ],
    })
}
