//! Questions on the command line: replanning, commitments, what-if, how sure.

use std::path::Path;
use std::sync::OnceLock;

use serde_json::{Value, json};
use tests::{demo, fizzwright};

/// The demo week's plan, made once.
fn plan() -> &'static Value {
    static MADE: OnceLock<Value> = OnceLock::new();
    MADE.get_or_init(|| {
        let text = demo::scenario().to_string();
        fizzwright(&["plan", "-", "--json"], text.as_bytes())
            .well()
            .json()
    })
}

fn written(dir: &Path, name: &str, value: &Value) -> String {
    let path = dir.join(name);
    std::fs::write(&path, value.to_string()).unwrap();
    path.to_str().unwrap().to_owned()
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A boil of the second day, and an instant at which it is on its heater.
fn boil() -> (String, String) {
    let work = plan()["work"].as_array().unwrap().iter();
    let mut later =
        work.filter(|i| i["kind"] == "boil" && i["start"].as_str() > Some("2026-06-02"));
    let boil = later.next().unwrap();
    let start = boil["start"].as_str().unwrap();
    // Half an hour in: work starts on full steps of half an hour.
    let half = start[14..16] == *"30";
    let hour: u32 = start[11..13].parse().unwrap();
    let now = if half {
        format!("{}{:02}:00{}", &start[..11], hour + 1, &start[16..])
    } else {
        format!("{}30{}", &start[..14], &start[16..])
    };
    (boil["id"].as_str().unwrap().to_owned(), now)
}

#[test]
fn a_week_is_replanned_after_a_failed_boil() {
    let dir = tempfile::tempdir().unwrap();
    let (item, now) = boil();
    let plan = written(dir.path(), "plan.json", plan());
    let facts = json!({
        "now": now,
        "frozen_min": 0,
        "events": [{"happened": "failed", "item": item, "at": now}],
    });
    let facts = written(dir.path(), "facts.json", &facts);
    let scenario = demo::scenario().to_string();
    let arguments = ["replan", "-", "--plan", &plan, "--facts", &facts];
    let said = one_line(&fizzwright(&arguments, scenario.as_bytes()).well().out);
    let failed = format!("{item} failed at");
    for part in [
        "WHAT IS NOT AS PLANNED",
        &failed,
        "WHAT CHANGES",
        "stay as published",
        "VERDICT",
        "WORK",
    ] {
        assert!(said.contains(part), "no {part}: {said}");
    }
    let arguments = [&arguments[..], &["--json"]].concat();
    let answer = fizzwright(&arguments, scenario.as_bytes()).well().json();
    assert!(!answer["changes"].as_array().unwrap().is_empty());
    let walked = answer["plan"]["verdict"]["replayed_minutes"]
        .as_u64()
        .unwrap();
    assert!(walked > 0 && walked < 7 * 24 * 60);

    // The answer is what the next replanning starts from; nothing new happened, so nothing moves.
    let next = written(dir.path(), "next.json", &answer["plan"]);
    let facts = json!({"now": answer["plan"]["start"]});
    let facts = written(dir.path(), "next_facts.json", &facts);
    let arguments = ["replan", "-", "--json", "--plan", &next, "--facts", &facts];
    let scenario = answer["scenario"].to_string();
    let again = fizzwright(&arguments, scenario.as_bytes()).well().json();
    assert_eq!(again["changes"], json!([]));
}

#[test]
fn facts_that_do_not_fit_are_refused() {
    let dir = tempfile::tempdir().unwrap();
    let plan = written(dir.path(), "plan.json", plan());
    let scenario = demo::scenario().to_string();
    for (facts, part) in [
        (json!({"now": "2025-01-01T00:00:00Z"}), "now: "),
        (json!({"then": 1}), "unknown field `then`"),
        (
            json!({"now": "2026-06-03T10:00:00+01:00", "events": [{"happened": "skipped", "item": "boil-99"}]}),
            "events[0].item: there is no work item \"boil-99\"",
        ),
    ] {
        let facts = written(dir.path(), "facts.json", &facts);
        let arguments = ["replan", "-", "--plan", &plan, "--facts", &facts];
        let ended = fizzwright(&arguments, scenario.as_bytes());
        assert_eq!(ended.code, Some(2), "{}", ended.err);
        assert!(ended.err.contains(part), "{}", ended.err);
    }
}

#[test]
fn a_commitment_is_answered() {
    let scenario = demo::scenario().to_string();
    let arguments = [
        "commitment",
        "-",
        "--product",
        "plain-soda",
        "--kegs",
        "2",
        "--by",
        "saturday 18:00",
        // Enough on a machine that does other things too.
        "--time-limit",
        "600",
    ];
    let said = one_line(&fizzwright(&arguments, scenario.as_bytes()).well().out);
    for part in [
        "Yes: 35.9 L of Plain soda",
        "nobody else is served less",
        "It costs",
        "WHAT CHANGES",
    ] {
        assert!(said.contains(part), "no {part}: {said}");
    }
    let ended = fizzwright(
        &[
            "commitment",
            "-",
            "--product",
            "plain-soda",
            "--by",
            "friday 17:00",
        ],
        b"{}",
    );
    assert_eq!(ended.code, Some(2));
    assert!(ended.err.contains("--kegs"), "{}", ended.err);
    let cola = [
        "commitment",
        "-",
        "--product",
        "cola",
        "--litres",
        "5",
        "--by",
        "friday 17:00",
    ];
    let ended = fizzwright(&cola, scenario.as_bytes());
    assert_eq!(ended.code, Some(2));
    assert!(
        ended.err.contains("product: there is no product \"cola\""),
        "{}",
        ended.err
    );
}

#[test]
fn changes_are_compared() {
    let dir = tempfile::tempdir().unwrap();
    let changes = json!({"changes": [
        {"label": "No ice to buy", "patch": {"setup": {"ice": {"purchase": null}}}},
        {"label": "As it is", "patch": []},
    ]});
    let file = written(dir.path(), "changes.json", &changes);
    let scenario = demo::scenario().to_string();
    let arguments = ["what-if", "-", "--changes", &file];
    let said = one_line(&fizzwright(&arguments, scenario.as_bytes()).well().out);
    for part in ["AS IT IS", "No ice to buy", "Different:", "as proven"] {
        assert!(said.contains(part), "no {part}: {said}");
    }
    let bad = json!({"changes": [{"label": "x", "patch": {"setup": {"pots": []}}}]});
    let file = written(dir.path(), "bad.json", &bad);
    let ended = fizzwright(&["what-if", "-", "--changes", &file], scenario.as_bytes());
    assert_eq!(ended.code, Some(2));
    assert!(
        ended.err.contains("changes[0].patch: setup.pots"),
        "{}",
        ended.err
    );
}

#[test]
fn a_plan_is_replayed_many_times() {
    let dir = tempfile::tempdir().unwrap();
    let plan = written(dir.path(), "plan.json", plan());
    let scenario = demo::scenario().to_string();
    let arguments = ["confidence", "-", "--plan", &plan];
    let said = one_line(&fizzwright(&arguments, scenario.as_bytes()).well().out);
    for part in [
        "replayed 1000 times",
        "SERVICES",
        "met in",
        "Fri 5 June 17:00",
    ] {
        assert!(said.contains(part), "no {part}: {said}");
    }
    let json = |seed: &str| {
        let arguments = [
            &arguments[..],
            &["--json", "--replays", "200", "--seed", seed],
        ]
        .concat();
        fizzwright(&arguments, scenario.as_bytes()).well().out
    };
    assert_eq!(json("3"), json("3"));
    let spreads = written(dir.path(), "spreads.json", &json!({"resting": 0.1}));
    let arguments = [&arguments[..], &["--spreads", &spreads]].concat();
    let ended = fizzwright(&arguments, scenario.as_bytes());
    assert_eq!(ended.code, Some(2));
    assert!(
        ended
            .err
            .contains("spreads.resting: 0.1 found; 1 to 10 is allowed"),
        "{}",
        ended.err
    );
}
