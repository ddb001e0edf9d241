//! The large-neighbourhood search: what it finds is a plan, the same on every machine, and whoever
//! waits for it hears how far it is.

#![allow(clippy::unwrap_used, reason = "tests may fail loudly")]

use std::cell::RefCell;
use std::sync::atomic::AtomicBool;

use scheduler::mapping::{SodaNetwork, network};
use scheduler::milp::{Formulation, Progress, Stop, Watch};
use scheduler::recipe::Recipes;
use scheduler::sample;
use scheduler::scenario::quantities::DemandVolume;
use scheduler::search::{Limits, SearchOutcome, gap, search, search_from};
use scheduler::timeline::Timeline;

/// Half as much again as can be made.
fn scarce() -> (SodaNetwork, Formulation) {
    let mut scenario = sample::fixed();
    for line in &mut scenario.demand {
        line.litres = DemandVolume::new(line.litres.litres() * 1.5).unwrap();
    }
    let scenario = scenario.check().unwrap();
    let recipes = Recipes::of(&scenario).unwrap();
    let timeline = Timeline::new(&scenario.horizon, scenario.site.time_zone);
    let soda = network(&scenario, &recipes, &timeline);
    let form = soda.formulate(&scenario, &timeline);
    (soda, form)
}

/// Nothing but a number of steps ends it.
fn steps(steps: usize, threads: usize) -> Limits {
    Limits {
        gap: 0.0,
        seconds: 600.0,
        steps: Some(steps),
        threads,
        ..Limits::default()
    }
}

/// The plan in which as little as can be is started.
fn idle(soda: &SodaNetwork, form: &Formulation) -> SearchOutcome {
    let limits = Limits {
        seconds: 0.0,
        ..Limits::default()
    };
    search(&soda.net, form, limits, Watch::default()).unwrap()
}

#[test]
fn one_thread_and_a_number_of_steps_find_the_same_each_time() {
    let (soda, form) = scarce();
    let first = idle(&soda, &form);
    let found = || {
        let known = Some(first.values.clone());
        search_from(&soda.net, &form, known, steps(5, 1), Watch::default()).unwrap()
    };
    let (one, other) = (found(), found());
    assert_eq!(one.values, other.values);
    assert_eq!(one.stopped, Some(Stop::Other));
    assert!(one.objective > first.objective);
    assert_eq!(form.program.broken(&one.values, 1e-5), None);
}

#[test]
fn threads_share_one_plan_and_tell_only_of_plans() {
    let (soda, form) = scarce();
    let heard: RefCell<Vec<Progress>> = RefCell::default();
    let report = |progress: Progress| heard.borrow_mut().push(progress);
    let never = AtomicBool::new(false);
    let watch = Watch {
        cancel: &never,
        progress: &report,
    };
    let found = search(&soda.net, &form, steps(8, 2), watch).unwrap();
    assert_eq!(form.program.broken(&found.values, 1e-5), None);
    let heard = heard.into_inner();
    let plans: Vec<f64> = heard.iter().filter_map(|p| p.best).collect();
    assert!(plans.is_sorted(), "a plan that was there is gone");
    let best = plans.last().unwrap();
    // What was told of is there at the end.
    assert!(gap(found.objective, *best) < 1e-9, "{found:?} {best}");
}
