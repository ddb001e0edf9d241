//! Changes to the first days of the demo, side by side.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

use chrono::Duration;
use scheduler::answer::{NoAnswer, ScenarioChange, WhatIfAnswer, WhatIfQuestion, plan, what_if};
use scheduler::milp::Watch;
use scheduler::sample;
use scheduler::scenario::Scenario;
use scheduler::search::Limits;
use serde_json::{Value, json};

/// The first three days of the demo.
fn scenario() -> Scenario {
    let mut scenario = sample::fixed();
    scenario.horizon.days = 3;
    let end = scenario.horizon.start + Duration::days(3);
    scenario.demand.retain(|line| line.due < end);
    scenario
}

fn asked(patches: &[Value]) -> Result<WhatIfAnswer, NoAnswer> {
    let scenario = scenario().check().unwrap();
    let changes = patches.iter().enumerate().map(|(n, patch)| ScenarioChange {
        label: format!("change {n}"),
        patch: patch.clone(),
    });
    let question = WhatIfQuestion {
        changes: changes.collect(),
    };
    what_if(&scenario, &question, Limits::default(), Watch::default())
}

#[test]
fn an_empty_patch_changes_nothing_and_a_real_one_what_it_should() {
    let no_purchase = json!({"setup": {"ice": {"purchase": null}}});
    let dear_hands = json!([
        {"op": "replace", "path": "/setup/costs/hands_per_h", "value": 28.0}
    ]);
    let answer = asked(&[json!({}), json!([]), no_purchase, dear_hands]).unwrap();
    let scenario = scenario().check().unwrap();
    let alone = plan(&scenario, Limits::default(), Watch::default()).unwrap();
    assert_eq!(answer.base.verdict, alone.verdict);
    for case in &answer.cases[..2] {
        assert_eq!(case.outcome, answer.base);
        assert!(case.difference.work.is_empty() && case.difference.services.is_empty());
        assert!(case.difference.worth.abs() < 1e-9 && case.difference.cost.abs() < 1e-9);
    }
    // Without ice to buy none is delivered.
    assert!(!answer.cases[2].outcome.work.contains_key("ice"));
    // Dearer hands cost more, and the proven interval says so too.
    let dear = &answer.cases[3].difference;
    assert!(dear.cost > 1.0, "{dear:?}");
    assert!(dear.worth_between.1 < 0.0, "{dear:?}");
    let (least, most) = dear.worth_between;
    assert!(least <= dear.worth && dear.worth <= most, "{dear:?}");
}

#[test]
fn the_answer_does_not_depend_on_how_many_are_solved_at_once() {
    let change = json!({"stock": {"ice_kg": 60.0}});
    let one = asked(std::slice::from_ref(&change)).unwrap();
    let two = asked(&[change.clone(), change]).unwrap();
    let text = |answer: &WhatIfAnswer, n: usize| serde_json::to_string(&answer.cases[n]).unwrap();
    let relabelled = text(&two, 1).replace("change 1", "change 0");
    assert_eq!(text(&one, 0), relabelled);
}

#[test]
fn a_change_that_cannot_be_made_is_refused_with_its_place() {
    let cases = [
        (
            json!({"setup": {"ice": {"rate_kg_per_h": -1.0}}}),
            "rate_kg_per_h",
        ),
        (json!({"setup": {"pots": []}}), "setup.pots"),
        (json!({"sight": {}}), "sight"),
        (json!(7), "RFC 7396"),
        (json!([{"op": "remove", "path": "/nowhere"}]), "nowhere"),
        (json!([{"op": "paint"}]), "op"),
    ];
    for (patch, part) in cases {
        let Err(NoAnswer::BadQuestion { field, what }) = asked(&[json!({}), patch]) else {
            panic!("{part}");
        };
        assert_eq!(field, "changes[1].patch");
        assert!(what.contains(part), "{part}: {what}");
    }
    let none = asked(&[]);
    assert!(matches!(none, Err(NoAnswer::BadQuestion { field, .. }) if field == "changes"));
}
