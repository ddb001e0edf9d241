//! Horizons of one day to eight weeks, on steps of 15, 30 and 60 minutes.

use scheduler::answer::{Facts, Measured, plan, replan};
use scheduler::mapping::network;
use scheduler::milp::Watch;
use scheduler::recipe::Recipes;
use scheduler::sample;
use scheduler::scenario::quantities::StockMass;
use scheduler::scenario::{Grid, Scenario};
use scheduler::search::Limits;

use crate::base::{at, planned, small, wanted};

/// The small site for some days, with a keg wanted on each evening.
fn daily(days: u8, grid: Grid) -> Scenario {
    let mut scenario = small();
    scenario.horizon.days = days;
    scenario.horizon.grid_minutes = grid;
    // Sundays are closed; what is wanted then is made before.
    for day in 0..i64::from(days) {
        wanted(&mut scenario, "plain-soda", (day, 17), 12.0);
    }
    scenario
}

#[test]
fn one_day_in_quarters_of_an_hour() {
    let plan = planned(&daily(1, Grid::Quarter));
    assert_eq!(plan.verdict.replayed_minutes, 24 * 60);
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
    // Somewhere a quarter of an hour is used that a coarser step does not have.
    let quarter = |item: &scheduler::plan::WorkItem| (item.end - item.start).num_minutes() % 30;
    assert!(plan.work.iter().any(|item| quarter(item) == 15));
}

#[test]
fn a_week_in_hours() {
    let plan = planned(&daily(7, Grid::Hour));
    assert_eq!(plan.verdict.replayed_minutes, 7 * 24 * 60);
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
    assert!(
        plan.work
            .iter()
            .all(|item| (item.start - at(0, 0, 0)).num_minutes() % 60 == 0)
    );
}

#[test]
fn two_weeks_in_half_hours() {
    let plan = planned(&daily(14, Grid::Half));
    assert_eq!(plan.verdict.replayed_minutes, 14 * 24 * 60);
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
}

/// The demo's demand week after week.
fn demo(weeks: u8) -> Scenario {
    let mut scenario = sample::fixed();
    scenario.horizon.days = 7 * weeks;
    for week in 1..i64::from(weeks) {
        for line in sample::fixed().demand {
            let mut line = line;
            line.due += chrono::Duration::weeks(week);
            line.id = crate::base::id(&format!("{}-{week}", line.id));
            scenario.demand.push(line);
        }
    }
    scenario
}

#[test]
fn eight_weeks_of_the_demo_are_a_network_that_makes_sense() {
    let mut scenario = demo(8);
    for grid in [Grid::Quarter, Grid::Half, Grid::Hour] {
        scenario.horizon.grid_minutes = grid;
        let checked = scenario.clone().check().unwrap();
        let recipes = Recipes::of(&checked).unwrap();
        let timeline = checked.horizon.timeline(checked.site.time_zone);
        let steps = 56 * 24 * 60 / usize::from(grid.minutes());
        assert_eq!(timeline.steps(), steps);
        let soda = network(&checked, &recipes, &timeline);
        assert_eq!(soda.net.points(), steps + 1);
        soda.net.check().unwrap();
    }
}

/// Settled a week at a time, and yet near what the relaxation of all three allows.
#[test]
fn three_weeks_of_the_demo_are_planned_and_replayed() {
    let mut scenario = demo(3);
    scenario.stock.materials.clear();
    scenario.stock.co2_kg = StockMass::of(63.0);
    let limits = Limits {
        gap: 0.02,
        seconds: 300.0,
        ..Limits::default()
    };
    let plan = plan(&scenario.check().unwrap(), limits, Watch::default()).unwrap();
    assert_eq!(plan.verdict.replayed_minutes, 3 * 7 * 24 * 60);
    assert!(plan.verdict.gap <= 0.02, "{:?}", plan.verdict);
    // What is left open is demand or money: no more demand than that part.
    let wanted: f64 = plan.services.iter().map(|s| s.wanted_l).sum();
    let short = plan.short_litres();
    assert!(short <= 0.02 * wanted, "{short} of {wanted} L short");
}

/// Eight weeks of a site so small that its plan takes a moment.
#[test]
fn eight_weeks_are_planned_and_replayed() {
    let mut scenario = daily(56, Grid::Hour);
    scenario
        .demand
        .retain(|line| line.due.format("%a").to_string() == "Fri");
    scenario.setup.pots.truncate(1);
    scenario.setup.routes[0].pots.truncate(1);
    let plan = planned(&scenario);
    assert_eq!(plan.verdict.replayed_minutes, 56 * 24 * 60);
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
}

/// Half an hour off UTC, hours of the site's clock are not hours of UTC.
#[test]
fn steps_follow_the_sites_clock() {
    let mut scenario = daily(1, Grid::Hour);
    scenario.site.time_zone = "Asia/Kolkata".parse().unwrap();
    scenario.horizon.start = "2026-06-01T06:00:00+05:30".parse().unwrap();
    scenario.demand[0].due = "2026-06-01T17:00:00+05:30".parse().unwrap();
    let plan = planned(&scenario);
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
    assert!(
        plan.work
            .iter()
            .all(|item| item.start.format("%M").to_string() == "00")
    );
    scenario.horizon.start = "2026-06-01T06:30:00+05:30".parse().unwrap();
    assert!(scenario.check().is_err());
}

/// Above sixteen days of half hours the whole is not relaxed first.
#[test]
fn a_long_horizon_is_replanned_without_a_move_where_nothing_happened() {
    let scenario = daily(18, Grid::Half);
    let published = planned(&scenario);
    let checked = scenario.check().unwrap();
    let limits = Limits {
        seconds: 20.0,
        ..Limits::default()
    };
    let facts = |measured| Facts {
        now: at(0, 8, 0),
        frozen_min: 120,
        events: Vec::new(),
        measured,
    };
    let again =
        |facts: &Facts| replan(&checked, &published, facts, limits, Watch::default()).unwrap();
    let same = again(&facts(Measured::default()));
    assert!(same.changes.is_empty(), "{:?}", same.changes);
    assert!(same.frozen_kept);
    // No CO2 is left: nothing can be gassed, and that is the reason.
    let none = again(&facts(Measured {
        co2_kg: Some(StockMass::of(0.0)),
        ..Measured::default()
    }));
    let short = none.plan.services.iter().find(|line| line.short_l > 1.0);
    let why = &short.unwrap().why;
    assert!(why.iter().any(|reason| reason.resource == "CO2"), "{why:?}");
}
