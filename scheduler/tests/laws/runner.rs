//! Runs a law on random scenarios.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestCaseError, TestRunner};
use scheduler::answer::{NoAnswer, plan};
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::plan::Plan;
use scheduler::scenario::Scenario;
use scheduler::search::Limits;

use crate::scenarios::scenario;

/// Bytes that choose a scenario.
const BYTES: usize = 220;

/// Why a law is not found to hold for a scenario.
#[derive(Debug)]
pub(crate) enum Finding {
    /// It does not: how.
    Broken(String),
    /// The law says nothing about such a scenario; another one is tried in its place.
    Elsewhere,
}

impl From<String> for Finding {
    fn from(how: String) -> Self {
        Self::Broken(how)
    }
}

/// Whether a law holds for a scenario.
pub(crate) type Verdict = Result<(), Finding>;

/// The seed of a law; another one for each `SEED` in the environment (`make explore`).
pub(crate) fn fixed(seed: u64) -> RngSeed {
    let other = std::env::var("SEED").map_or(0, |text| text.parse().expect("SEED is a number"));
    RngSeed::Fixed(seed ^ other)
}

/// Tries a law on so many scenarios that make sense.
pub(crate) fn holds(seed: u64, cases: u32, law: impl Fn(&Checked) -> Verdict) {
    let config = Config {
        cases,
        rng_seed: fixed(seed),
        failure_persistence: None,
        max_local_rejects: 100_000,
        max_global_rejects: 20 * cases,
        max_shrink_iters: 400,
        max_shrink_time: 30_000,
        ..Config::default()
    };
    let sensible = vec(any::<u8>(), BYTES).prop_filter_map("a scenario that is refused", |bytes| {
        let checked = scenario(&bytes).check().ok()?;
        Some(Sensible(checked))
    });
    let run = TestRunner::new(config).run(&sensible, |case| {
        law(&case.0).map_err(|finding| match finding {
            Finding::Elsewhere => TestCaseError::reject("the law says nothing about it"),
            Finding::Broken(text) => {
                eprintln!("{text}");
                let json = serde_json::to_string(&case.0.clone().into_inner()).unwrap_or_default();
                TestCaseError::fail(format!("{text}\n{json}"))
            }
        })
    });
    if let Err(failed) = run {
        panic!("{failed}");
    }
}

/// A scenario that is printed elsewhere.
struct Sensible(Checked);

impl std::fmt::Debug for Sensible {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("the scenario above")
    }
}

/// How far to search.
pub(crate) fn limits(gap: f64) -> Limits {
    Limits {
        gap,
        seconds: 10.0,
        ..Limits::default()
    }
}

/// The plan of a scenario, which has passed its replay.
pub(crate) fn planned(checked: &Checked, gap: f64) -> Result<Plan, String> {
    plan(checked, limits(gap), Watch::default()).map_err(|error: NoAnswer| error.to_string())
}

/// A plan that may be far from the best.
pub(crate) fn quickly(checked: &Checked) -> Result<Plan, String> {
    let limits = Limits {
        gap: 0.3,
        seconds: 0.3,
        ..Limits::default()
    };
    match plan(checked, limits, Watch::default()) {
        // A slow machine needs longer for a first plan.
        Err(NoAnswer::Stopped(_)) => planned(checked, 0.3),
        answer => answer.map_err(|error| error.to_string()),
    }
}

/// A scenario changed, if it still makes sense.
pub(crate) fn changed(checked: &Checked, change: impl FnOnce(&mut Scenario)) -> Option<Checked> {
    let mut scenario = checked.clone().into_inner();
    change(&mut scenario);
    scenario.check().ok()
}
