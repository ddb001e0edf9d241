//! The main job on the command line: the demo week planned from a file.

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use tests::{demo, fizzwright, program, server};

#[test]
fn the_sample_is_for_a_week_to_come() {
    let sample = fizzwright(&["sample"], b"").well().json();
    assert_eq!(sample["site"]["id"], "harbour-bar");
    assert_ne!(
        sample["horizon"]["start"],
        demo::scenario()["horizon"]["start"]
    );
}

#[test]
fn a_week_is_planned_from_a_file() {
    let scenario = demo::scenario();
    let ended = fizzwright(&["plan", "-", "--json"], scenario.to_string().as_bytes()).well();
    let plan = ended.json();
    let verdict = &plan["verdict"];
    assert!(verdict["gap"].as_f64().unwrap() <= 1e-3, "{verdict}");
    assert!(
        verdict["worth"].as_f64() <= verdict["bound"].as_f64(),
        "{verdict}"
    );
    assert_eq!(verdict["replayed_minutes"], 7 * 24 * 60, "{verdict}");
    let lines = scenario["demand"].as_array().unwrap().len();
    assert_eq!(plan["services"].as_array().unwrap().len(), lines);
    for kind in ["boil", "fill", "gas", "tap", "wash"] {
        let mut work = plan["work"].as_array().unwrap().iter();
        assert!(work.any(|item| item["kind"] == kind), "no {kind}");
    }
}

#[test]
fn a_plan_reads_from_the_verdict_to_what_to_have_on_hand() {
    let scenario = demo::scenario();
    let mut ended = fizzwright(&["plan", "-"], scenario.to_string().as_bytes()).well();
    // Where a line breaks does not matter.
    ended.out = ended.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let place = |part: &str| {
        ended
            .out
            .find(part)
            .unwrap_or_else(|| panic!("no {part}: {}", ended.out))
    };
    let order = [
        "VERDICT",
        "WORK",
        "Monday 1 June",
        "Saturday 6 June",
        "HAVE ON HAND",
    ]
    .map(place);
    assert!(order.is_sorted(), "{order:?}");
    for part in [
        "L of tap water",
        "g of sodium ascorbate",
        "kg of ice",
        "Fill ",
        "Purge 3 times",
        "psi",
        "Ready ",
        "Take to the tap",
        "Wash and sanitise",
        "no plan can score more than",
    ] {
        place(part);
    }
    assert!(ended.err.contains("planning "), "{}", ended.err);
}

#[test]
fn planning_twice_gives_the_same_plan() {
    let text = demo::scenario().to_string();
    let plan = || {
        fizzwright(&["plan", "-", "--json"], text.as_bytes())
            .well()
            .out
    };
    assert_eq!(plan(), plan());
}

#[test]
fn the_model_is_written_for_other_solvers() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("week.mps");
    let text = demo::scenario().to_string();
    let arguments = ["plan", "-", "--export-model", file.to_str().unwrap()];
    let _ = fizzwright(&arguments, text.as_bytes()).well();
    let model = std::fs::read_to_string(&file).unwrap();
    for section in ["ROWS", "COLUMNS", "RHS", "BOUNDS", "ENDATA"] {
        assert!(model.contains(section), "no {section}");
    }
}

#[test]
fn capacity_is_told_with_its_proof_and_its_limits() {
    let text = demo::scenario().to_string();
    let arguments = ["capacity", "-", "--by", "friday 17:00"];
    let said = fizzwright(&arguments, text.as_bytes()).well().out;
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "Fri 5 June 17:00",
        "if nothing is served before",
        "no plan can have more than",
    ] {
        assert!(said.contains(part), "{said}");
    }
    let answer = fizzwright(&[&arguments[..], &["--json"]].concat(), text.as_bytes())
        .well()
        .json();
    let kegs: u64 = answer["by_keg"]
        .as_array()
        .unwrap()
        .iter()
        .map(|k| k["kegs"].as_u64().unwrap())
        .sum();
    assert_eq!(answer["kegs"].as_u64(), Some(kegs), "{answer}");
    assert!(answer["kegs"].as_u64() <= answer["at_most"].as_u64());
    assert!(!answer["limits"].as_array().unwrap().is_empty());
}

#[test]
fn an_interrupted_search_ends_soon_and_without_a_panic() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("week.json");
    // A fine grid and no gap allowed keep it busy.
    let mut scenario = demo::scenario();
    scenario["horizon"]["grid_minutes"] = 15.into();
    std::fs::write(&file, scenario.to_string()).unwrap();
    let child = Command::new(program::path())
        .args(["plan", file.to_str().unwrap(), "--gap", "0"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    std::thread::sleep(Duration::from_millis(1500));
    let begun = Instant::now();
    server::interrupt(child.id());
    let said = child.wait_with_output().unwrap();
    let err = String::from_utf8_lossy(&said.stderr);
    assert!(
        begun.elapsed() < Duration::from_secs(5),
        "{:?}",
        begun.elapsed()
    );
    assert!(!err.contains("panicked"), "{err}");
    // Either it had a plan and shows it, or it says that it had none.
    let code = said.status.code();
    assert!(
        code == Some(0) && !said.stdout.is_empty() || code == Some(1),
        "{code:?}: {err}"
    );
}

#[test]
fn a_reader_that_goes_away_is_not_a_failure() {
    let mut child = Command::new(program::path())
        .args(["sample"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let said = child.wait_with_output().unwrap();
    assert!(!String::from_utf8_lossy(&said.stderr).contains("panicked"));
}
