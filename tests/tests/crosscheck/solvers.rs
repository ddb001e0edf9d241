//! Our optimum against those of other people's solvers, on the exported programs.
//!
//! Thirty days of the demo week, changed so that different things are scarce. They are small, so
//! that every solver can prove its answer.

use std::collections::BTreeMap;

use scheduler::answer::{export_model, plan};
use scheduler::milp::Watch;
use scheduler::scenario::Scenario;
use scheduler::search::Limits;
use serde_json::Value;

use crate::instances::{days, scarce_hands, scarce_ice};
use crate::python;

/// The gap to which we and they prove an optimum.
const GAP: f64 = 1e-5;

/// Worth is stated in hundredths, so it can be half of one off.
const CENT: f64 = 0.005;

/// CP-SAT takes what is fractional in steps, and gives rows room for them (see `solvers.py`);
/// that much more it may find.
const STEPS: f64 = 5e-4;

/// What is known of an optimum.
struct KnownOptimum {
    worth: f64,
    bound: f64,
}

fn instances() -> BTreeMap<String, Value> {
    let mut all = BTreeMap::new();
    for n in 0..6 {
        let mut add = |name: &str, scenario| all.insert(format!("day {n} {name}"), scenario);
        add("hours", days((n, 1), 60, 2.0, 6));
        add("half hours", days((n, 1), 30, 2.0, 3));
        add("two products", days((n, 1), 60, 1.0, 2));
        add("ice", scarce_ice(days((n, 1), 60, 2.0, 4)));
        add("hands", scarce_hands(days((n, 1), 60, 2.0, 4)));
    }
    all
}

/// Plans a scenario and writes its program down.
fn ours(scenario: &Value, file: &std::path::Path) -> KnownOptimum {
    let scenario: Scenario = serde_json::from_value(scenario.clone()).unwrap();
    let scenario = scenario.check().unwrap();
    export_model(&scenario, file).unwrap();
    let limits = Limits {
        gap: GAP,
        seconds: 300.0,
        ..Limits::default()
    };
    let verdict = plan(&scenario, limits, Watch::default()).unwrap().verdict;
    assert!(verdict.gap <= GAP, "{}: {verdict:?}", file.display());
    KnownOptimum {
        worth: verdict.worth - CENT,
        bound: verdict.bound + CENT,
    }
}

#[test]
fn other_solvers_find_the_same_optimum() {
    let folder = tempfile::tempdir().unwrap();
    let ours: BTreeMap<String, KnownOptimum> = instances()
        .iter()
        .map(|(name, scenario)| {
            let file = folder.path().join(name).with_extension("mps");
            (name.clone(), ours(scenario, &file))
        })
        .collect();
    let gap = GAP.to_string();
    let said = python::run(
        "solvers.py",
        folder.path(),
        &["--gap", &gap, "--seconds", "120", "--least-seconds", "5"],
    );
    let said = said.unwrap_or_else(|complaint| panic!("{complaint}"));
    let mut proven: BTreeMap<String, usize> = BTreeMap::new();
    let answers = said.lines().filter(|line| line.starts_with('{'));
    for answer in answers.map(|line| serde_json::from_str::<Value>(line).unwrap()) {
        let solver = answer["solver"].as_str().unwrap();
        let known = &ours[answer["model"].as_str().unwrap()];
        let room = if solver == "CP-SAT" { STEPS } else { GAP } * known.bound;
        if let Some(worth) = answer["worth"].as_f64() {
            assert!(
                worth <= known.bound + room,
                "we prove {}: {answer}",
                known.bound
            );
            let bound = answer["bound"].as_f64().unwrap();
            assert!(
                bound >= known.worth - room,
                "we have {}: {answer}",
                known.worth
            );
            if bound - worth <= GAP * bound + 1e-6 {
                *proven.entry(solver.to_owned()).or_default() += 1;
            }
        }
    }
    for solver in ["HiGHS", "SCIP", "CP-SAT"] {
        let count = proven.get(solver).copied().unwrap_or(0);
        assert!(count >= 20, "{solver} proved only {count}:\n{said}");
    }
}
