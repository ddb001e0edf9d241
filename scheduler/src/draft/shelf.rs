//! A shelf of bars to start from: invented ones of four sizes.

use serde_json::{Value, json};

use super::answers::Answers;

/// A bar to start from.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// How it is asked for.
    pub id: &'static str,
    /// What it is, in words.
    pub title: &'static str,
    /// What its people would answer.
    pub answers: Answers,
}

/// The bars to start from, the smallest first. All of them are invented.
///
/// ```
/// let shelf = scheduler::draft::shelf();
/// assert_eq!(shelf.map(|one| one.id), ["stall", "counter", "bar", "hall"]);
/// ```
#[must_use]
#[allow(
    clippy::expect_used,
    reason = "the answers are literals, read in the tests"
)]
pub fn shelf() -> [Template; 4] {
    let all = [
        ("stall", "A stall: one pot, crates of bottles", stall()),
        (
            "counter",
            "A counter: one pot, ten kegs, ice in bags",
            counter(),
        ),
        ("bar", "A bar: two pots, a walk-in, an ice machine", bar()),
        ("hall", "A hall: four pots, 120 kegs", hall()),
    ];
    all.map(|(id, title, answers)| Template {
        id,
        title,
        answers: serde_json::from_value(answers).expect("a template is made of answers"),
    })
}

fn stall() -> Value {
    json!({
        "name": "Market stall",
        "place": { "time_zone": "Europe/Lisbon" },
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

fn counter() -> Value {
    json!({
        "name": "Corner bar",
        "place": { "time_zone": "Europe/Lisbon" },
        "pots": [{ "litres": 40.0, "kw": 3.0 }],
        "cold": [{ "kind": "under_counter", "kegs": 8 }],
        "kegs": [{ "litres": 19.0, "count": 10 }],
        "gas": { "connections": 4, "highest_bar": 2.5 },
        "ice": { "bag_kg": 20.0 },
        "crew": [{
            "days": ["tue", "wed", "thu", "fri", "sat"], "from": "11:00:00", "to": "17:00:00",
        }],
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

fn bar() -> Value {
    json!({
        "name": "Quay bar",
        "place": { "time_zone": "Europe/Lisbon" },
        "pots": [{ "litres": 60.0, "kw": 4.5 }, { "litres": 30.0, "kw": 3.0 }],
        "cold": [{ "kind": "walk_in", "kegs": 24 }, { "kind": "under_counter", "kegs": 8 }],
        "kegs": [{ "litres": 19.0, "count": 30 }],
        "gas": { "connections": 8, "regulators": 8, "highest_bar": 4.0 },
        "ice": { "kg_per_day": 180.0, "bin_kg": 110.0 },
        "crew": [{
            "days": ["mon", "tue", "wed", "thu", "fri", "sat"], "from": "09:00:00", "to": "16:00:00",
        }],
        "drinks": [
            { "name": "Plain soda", "fizz": "high" },
            { "name": "Mineral soda", "fizz": "very_high" },
            { "name": "Ginger soda", "fizz": "medium", "sweet": true },
            { "name": "Tonic", "fizz": "high", "sweet": true },
        ],
        "nights": [
            { "days": ["tue", "wed", "thu"], "opens": "17:00:00", "kegs": 2.0 },
            { "days": ["fri", "sat"], "opens": "17:00:00", "kegs": 5.0 },
        ],
    })
}

fn hall() -> Value {
    json!({
        "name": "Hall",
        "place": { "time_zone": "Europe/Lisbon" },
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_bar_on_the_shelf_makes_a_setup() {
        let now = "2026-06-01T09:00:00Z".parse().unwrap();
        for one in shelf() {
            assert!(crate::draft::draft(&one.answers, now).is_ok(), "{}", one.id);
        }
    }
}
