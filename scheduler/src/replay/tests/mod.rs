//! A small plan made by hand is accepted; changed in one way, it is refused by exactly the rule it
//! breaks.

mod fixture;
mod gassing;
mod making;
mod plan;
mod scarce;
mod serving;
mod standing;

use std::collections::BTreeSet;

use super::{Gauge, Report, Rule, Violation, levels, replay};
use crate::plan::{Plan, WorkItem};
use crate::scenario::Scenario;

/// A scenario and its plan, to be changed.
struct Case {
    scenario: Scenario,
    plan: Plan,
}

impl Case {
    fn good() -> Self {
        let scenario = fixture::scenario();
        let plan = plan::plan(&scenario);
        Self { scenario, plan }
    }

    fn item(&mut self, id: &str) -> &mut WorkItem {
        let item = self
            .plan
            .work
            .iter_mut()
            .find(|item| item.id.as_str() == id);
        item.unwrap_or_else(|| panic!("no item {id}"))
    }

    fn remove(&mut self, id: &str) {
        self.plan.work.retain(|item| item.id.as_str() != id);
    }

    fn replay(self) -> Result<Report, Vec<Violation>> {
        let checked = self
            .scenario
            .check()
            .unwrap_or_else(|faults| panic!("{faults}"));
        replay(&checked, &self.plan)
    }
}

/// Sets fields of a work item's step.
macro_rules! set {
    ($item:expr, $kind:ident { $($field:ident: $value:expr),+ $(,)? }) => {
        |case: &mut $crate::replay::tests::Case| {
            let step = &mut case.item($item).step;
            let $crate::plan::Step::$kind(step) = step else {
                panic!("{} is another kind of work", $item);
            };
            $(step.$field = $value;)+
        }
    };
}
use set;

/// A change of the good plan breaks these rules and no others.
fn check(change: impl FnOnce(&mut Case), broken: &[Rule]) {
    let mut case = Case::good();
    change(&mut case);
    let violations = case.replay().err().unwrap_or_default();
    let found: BTreeSet<Rule> = violations.iter().map(|v| v.rule).collect();
    let broken: BTreeSet<Rule> = broken.iter().copied().collect();
    let texts: Vec<String> = violations.iter().map(ToString::to_string).collect();
    assert_eq!(found, broken, "\n{}", texts.join("\n"));
}

#[test]
fn the_good_plan_is_walked_to_its_end() {
    let report = Case::good().replay().unwrap_or_else(|violations| {
        let texts: Vec<String> = violations.iter().map(ToString::to_string).collect();
        panic!("{}", texts.join("\n"))
    });
    assert_eq!(report.minutes, 4 * 24 * 60);
    assert!(report.busiest_hands > 0.5 && report.busiest_hands <= 1.0);
    assert!(report.least_co2_kg > 3.0 && report.least_co2_kg < 5.0);
    // At the start: one keg of 19 L and none of those filled later.
    assert!((report.stores[0].places - 4.0).abs() < 1e-9);
}

#[test]
fn a_violation_says_when_what_and_where() {
    let mut case = Case::good();
    set!("boil-1", Boil { heating_min: 20.0 })(&mut case);
    let violations = case.replay().unwrap_err();
    let text = violations[0].to_string();
    assert!(text.starts_with("2026-06-01T09:00:00+01:00 Heating boil-1: 20.0 min to heat 31.6 L"));
}

#[test]
fn a_plan_that_names_what_is_not_there_is_refused() {
    for change in [
        (|case: &mut Case| case.plan.grid_minutes = 15) as fn(&mut Case),
        |case| case.plan.end += chrono::Duration::days(1),
        |case| case.plan.site = fixture::id("another-bar"),
        |case| case.item("fill-1").id = crate::plan::WorkId::new("fill", 2),
        |case| case.item("wash-1").start += chrono::Duration::minutes(10),
        |case| case.item("wash-1").start -= chrono::Duration::days(1),
        |case| case.remove("boil-1"),
        set!(
            "boil-1",
            Boil {
                pot: fixture::id("kettle")
            }
        ),
        set!("boil-1", Boil { tap_l: f64::NAN }),
        set!("wash-1", Wash { kegs: 0 }),
        set!(
            "gas-2",
            Gas {
                regulator_bar: 500.0
            }
        ),
    ] {
        check(change, &[Rule::Frame]);
    }
}

#[test]
fn levels_agree_with_the_report() {
    let case = Case::good();
    let checked = case.scenario.clone().check().unwrap();
    let report = replay(&checked, &case.plan).unwrap();
    let seen = levels(&checked, &case.plan);
    let of = |gauge: &Gauge| seen.iter().find(|s| s.gauge == *gauge).unwrap();
    let steps = case.plan.end - case.plan.start;
    let steps = usize::try_from(steps.num_minutes()).unwrap() / 30;
    for level in &seen {
        assert_eq!(
            (level.levels.len(), level.limits.len()),
            (steps, steps),
            "{level:?}"
        );
    }
    // The least of the steps is no less than the least of the minutes.
    let least = of(&Gauge::Ice)
        .levels
        .iter()
        .copied()
        .fold(f64::MAX, f64::min);
    assert!(
        least >= report.least_ice_kg - 1e-9 && least < report.least_ice_kg + 5.0,
        "{least}"
    );
    for store in &report.stores {
        let places = &of(&Gauge::Places(store.store.clone())).levels;
        let most = places.iter().copied().fold(0.0, f64::max);
        assert!(
            (most - store.places).abs() < 1e-9,
            "{most} {}",
            store.places
        );
    }
    let hands = of(&Gauge::Hands);
    let busy = hands
        .levels
        .iter()
        .zip(&hands.limits)
        .filter(|(_, limit)| **limit > 0.0);
    let busiest = busy.map(|(level, limit)| level / limit).fold(0.0, f64::max);
    assert!((busiest - report.busiest_hands).abs() < 1e-9, "{busiest}");
}
