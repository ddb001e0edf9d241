//! Whatever is searched ends when it is told to, and uses no more threads than it is given.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use scheduler::answer::{
    CapacityQuestion, CommitmentQuestion, ConfidenceQuestion, Facts, NoAnswer, ScenarioChange,
    WhatIfQuestion, capacity, capacity_curve, commitment, confidence, plan, replan, what_if,
};
use scheduler::check::Checked;
use scheduler::milp::{Stop, Watch};
use scheduler::plan::Plan;
use scheduler::sample;
use scheduler::scenario::Grid;
use scheduler::scenario::quantities::{DemandVolume, StockMass};
use scheduler::search::Limits;
use serde_json::json;

/// One test at a time: they measure time, and count threads.
static ALONE: Mutex<()> = Mutex::new(());

fn alone() -> MutexGuard<'static, ()> {
    ALONE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Moments at which each is told to stop.
const MOMENTS: usize = 3;

/// Longer than this after being told to none of them goes on, on a machine that has other things to
/// do as well.
const AT_MOST: Duration = Duration::from_secs(3);

/// More than can be made, on a fine grid: no gap is closed soon.
fn scarce() -> Checked {
    let mut scenario = sample::fixed();
    scenario.horizon.grid_minutes = Grid::Quarter;
    for line in &mut scenario.demand {
        line.litres = DemandVolume::new(line.litres.litres() * 1.5).unwrap();
    }
    scenario.check().unwrap()
}

fn made(scenario: &Checked) -> Plan {
    let limits = Limits {
        seconds: 2.0,
        gap: 0.2,
        ..Limits::default()
    };
    plan(scenario, limits, Watch::default()).unwrap()
}

/// Everything that can be asked about a scenario and its plan.
struct Questions {
    scenario: Checked,
    published: Plan,
    limits: Limits,
    changes: WhatIfQuestion,
    by: CapacityQuestion,
    more: CommitmentQuestion,
    facts: Facts,
    often: ConfidenceQuestion,
}

impl Questions {
    fn new() -> Self {
        let scenario = scarce();
        let limits = Limits {
            gap: 0.0,
            threads: 2,
            ..Limits::default()
        };
        let change = |label: &str| ScenarioChange {
            label: label.to_owned(),
            patch: json!({ "stock": { "ice_kg": 60.0 } }),
        };
        let due = scenario.demand[scenario.demand.len() - 1].due;
        let mut facts = Facts::none(scenario.horizon.start);
        facts.measured.ice_kg = Some(StockMass::of(0.0));
        Self {
            published: made(&scenario),
            limits,
            changes: WhatIfQuestion {
                changes: vec![change("one"), change("two")],
            },
            by: CapacityQuestion {
                by: due,
                product: None,
                mix: Vec::new(),
            },
            more: CommitmentQuestion {
                product: scenario.setup.products[0].id.clone(),
                litres: Some(DemandVolume::of(60.0)),
                kegs: None,
                keg_type: None,
                due,
            },
            facts,
            often: ConfidenceQuestion {
                replays: 100_000,
                ..ConfidenceQuestion::default()
            },
            scenario,
        }
    }

    /// Asks one of them, and says whether there is an answer.
    fn ask(&self, what: &str, watch: Watch<'_>) -> bool {
        let (scenario, limits) = (&self.scenario, self.limits);
        match what {
            "plan" => plan(scenario, limits, watch).is_ok(),
            "replan" => replan(scenario, &self.published, &self.facts, limits, watch).is_ok(),
            "commitment" => commitment(scenario, &self.more, limits, watch).is_ok(),
            "what if" => what_if(scenario, &self.changes, limits, watch).is_ok(),
            "confidence" => confidence(scenario, &self.published, &self.often, watch).is_ok(),
            "capacity" => capacity(scenario, &self.by, limits, watch).is_ok(),
            _ => capacity_curve(scenario, None, limits, watch).is_ok(),
        }
    }

    /// Time from being told to stop until it has ended; none where it had ended before.
    fn stopped(&self, what: &str, after: Duration) -> Option<Duration> {
        let cancel = AtomicBool::new(false);
        let (sender, ended) = mpsc::channel();
        thread::scope(|scope| {
            scope.spawn(|| {
                let answered = self.ask(what, Watch::quiet(&cancel));
                let _ = sender.send(answered);
            });
            if ended.recv_timeout(after).is_ok() {
                return None;
            }
            cancel.store(true, Ordering::SeqCst);
            let told = Instant::now();
            ended.recv().ok()?;
            Some(told.elapsed())
        })
    }
}

#[test]
fn whatever_is_searched_ends_soon_after_it_is_told_to() {
    let _alone = alone();
    let questions = Questions::new();
    let mut chance = fastrand::Rng::with_seed(7);
    let mut waited = Vec::new();
    for what in [
        "plan",
        "replan",
        "commitment",
        "what if",
        "confidence",
        "capacity",
        "curve",
    ] {
        for _ in 0..MOMENTS {
            let after = Duration::from_millis(chance.u64(5..500));
            let Some(time) = questions.stopped(what, after) else {
                continue;
            };
            println!("{what}, told after {after:.0?}: {time:.0?}");
            assert!(time < AT_MOST, "{what}, told after {after:?}: {time:?}");
            waited.push(time);
        }
    }
    assert!(waited.len() > MOMENTS, "{waited:?}");
    waited.sort();
    let half = waited[waited.len() / 2];
    println!(
        "median {half:.0?}, longest {:.0?}",
        waited[waited.len() - 1]
    );
    assert!(half < AT_MOST / 6, "{waited:?}");
}

#[test]
fn replays_that_are_stopped_say_nothing() {
    let _alone = alone();
    let scenario = sample::fixed().check().unwrap();
    let published = made(&scenario);
    let cancel = AtomicBool::new(true);
    let question = ConfidenceQuestion::default();
    let found = confidence(&scenario, &published, &question, Watch::quiet(&cancel));
    assert_eq!(found, Err(NoAnswer::Stopped(Stop::Cancelled)));
}

/// One thread of the caller's own makes all of its plans, and so does one of several.
#[test]
fn a_what_if_uses_the_threads_it_is_given() {
    let _alone = alone();
    let scenario = sample::fixed().check().unwrap();
    let change = |n: usize| ScenarioChange {
        label: format!("change {n}"),
        patch: json!({}),
    };
    let changes: Vec<ScenarioChange> = (0..5).map(change).collect();
    let question = WhatIfQuestion { changes };
    for threads in [1, 2] {
        let limits = Limits {
            threads,
            gap: 0.3,
            ..Limits::default()
        };
        let over = AtomicBool::new(false);
        let counts = thread::scope(|scope| {
            let counting = scope.spawn(|| {
                let mut counts = Vec::new();
                while !over.load(Ordering::Relaxed) {
                    counts.push(threads_called("what if"));
                    thread::sleep(Duration::from_millis(1));
                }
                counts
            });
            let answer = what_if(&scenario, &question, limits, Watch::default());
            over.store(true, Ordering::Relaxed);
            assert_eq!(answer.unwrap().cases.len(), 5);
            counting.join().unwrap()
        });
        // A thread that begins has the name of the one that began it for a moment.
        let often =
            |n: &usize| counts.iter().filter(|count| *count >= n).count() * 10 > counts.len();
        let most = (1..=8).filter(often).max();
        assert_eq!(most, Some(threads));
    }
}

/// Threads of this process with a name.
fn threads_called(name: &str) -> usize {
    let tasks = std::fs::read_dir("/proc/self/task").unwrap();
    let named = tasks.filter_map(|task| {
        let path = task.ok()?.path().join("comm");
        std::fs::read_to_string(path).ok()
    });
    named.filter(|found| found.trim() == name).count()
}
