//! Replanning the demo week from what has happened.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

use std::sync::OnceLock;

use chrono::{DateTime, Duration, FixedOffset};
use proptest::prelude::{ProptestConfig, prop_assert, proptest};
use scheduler::answer::{Change, ChangeKind, Event, Facts, NoAnswer, Replanned, plan, replan};
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::plan::{BoilStep, FillStep, Plan, Step, WorkId, WorkItem};
use scheduler::sample;
use scheduler::scenario::quantities::{DemandVolume, StockMass};
use scheduler::scenario::{DemandId, DemandKind, Priority};
use scheduler::search::Limits;

fn limits() -> Limits {
    Limits {
        // Long enough for a busy machine: the limit must not cut in.
        seconds: 300.0,
        ..Limits::default()
    }
}

/// The demo week and its published plan, made once.
fn published() -> &'static (Checked, Plan) {
    static MADE: OnceLock<(Checked, Plan)> = OnceLock::new();
    MADE.get_or_init(|| {
        let scenario = sample::fixed().check().unwrap();
        let made = plan(&scenario, limits(), Watch::default()).unwrap();
        (scenario, made)
    })
}

fn at(hours: f64) -> DateTime<FixedOffset> {
    published().0.horizon.start + Duration::minutes((hours * 60.0) as i64)
}

fn replanned(facts: &Facts) -> Replanned {
    let (scenario, made) = published();
    replan(scenario, made, facts, limits(), Watch::default()).unwrap_or_else(|e| panic!("{e}"))
}

/// The first boil that is on its heater at some time after `hours`: its item and a time in it.
fn a_boil(hours: f64) -> (&'static WorkItem, DateTime<FixedOffset>) {
    let mut work = published().1.work.iter();
    let boil = work
        .find(|i| matches!(i.step, Step::Boil(_)) && i.start >= at(hours))
        .unwrap();
    (boil, boil.start + Duration::minutes(40))
}

fn told(change: &Change) -> String {
    format!(
        "{} {:?} {:?} -> {:?}, {} -> {}: {:?}",
        change.item, change.change, change.from, change.to, change.before, change.after, change.why
    )
}

fn all_told(new: &Replanned) -> String {
    let changes: Vec<String> = new.changes.iter().map(told).collect();
    format!(
        "{:?}\n{:?}\n{}",
        new.because,
        new.shortfalls,
        changes.join("\n")
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, max_shrink_iters: 0, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whenever it is asked, with nothing changed nothing moves, and everything published is served.
    #[test]
    fn with_nothing_changed_nothing_moves(minutes in 0_i64..7 * 24 * 60 - 60, frozen in 0_u32..600) {
        let now = at(0.0) + Duration::minutes(minutes);
        let facts = Facts { frozen_min: frozen, ..Facts::none(now) };
        let new = replanned(&facts);
        prop_assert!(new.changes.is_empty(), "{now}: {}", all_told(&new));
        prop_assert!(new.shortfalls.is_empty(), "{now}: {}", all_told(&new));
        prop_assert!(new.because.is_empty(), "{now}: {}", all_told(&new));
        prop_assert!(new.frozen_kept && new.price_of_changes.abs() < 1e-9);
        prop_assert!(new.plan.short_litres() <= published().1.short_litres() + 0.1, "{now}");
        // Work that stays keeps its name, its time and its figures.
        let ahead = published().1.work.iter().filter(|i| i.start >= new.plan.start);
        for item in ahead.filter(|i| !matches!(i.step, Step::Stale(_))) {
            let same = new.plan.work.iter().find(|n| n.id == item.id);
            prop_assert!(same.is_some_and(|n| n.start == item.start && n.end == item.end), "{}", item.id);
        }
    }
}

#[test]
fn a_failed_boil_is_made_up_for_and_its_pot_is_left_alone() {
    let (boil, now) = a_boil(24.0);
    let Step::Boil(BoilStep { pot, .. }) = &boil.step else {
        panic!("it is a boil")
    };
    let out = now + Duration::hours(3);
    let facts = Facts {
        events: vec![Event::Failed {
            item: boil.id.clone(),
            at: now,
            out_until: Some(out),
        }],
        ..Facts::none(now)
    };
    let new = replanned(&facts);
    assert!(!new.changes.is_empty());
    assert!(
        new.changes.iter().all(|c| !c.why.is_empty()),
        "{}",
        all_told(&new)
    );
    assert!(new.because[0].contains("failed"), "{:?}", new.because);
    let rests = |c: &Change| c.why.iter().any(|why| why.contains(boil.id.as_str()));
    assert!(new.changes.iter().any(rests), "{}", all_told(&new));
    for item in &new.plan.work {
        if let Step::Boil(BoilStep { pot: other, .. }) = &item.step {
            assert!(other != pot || item.start >= out, "{}", item.id);
        }
    }
    // The failed boil's own water is not filled any more.
    for item in &new.plan.work {
        if let Step::Fill(FillStep { from, .. }) = &item.step {
            assert!(!from.contains(&boil.id), "{}", item.id);
        }
    }
    // Most of the week stays.
    let moved = new
        .changes
        .iter()
        .filter(|c| c.change != ChangeKind::Added)
        .count();
    assert!(moved * 3 < new.kept as usize, "{}", all_told(&new));
}

#[test]
fn a_late_boil_keeps_its_pot_and_its_fills_come_later() {
    let (boil, now) = a_boil(0.0);
    let facts = Facts {
        events: vec![
            Event::Started {
                item: boil.id.clone(),
                at: boil.start,
            },
            Event::Late {
                item: boil.id.clone(),
                minutes: 50,
            },
        ],
        ..Facts::none(now)
    };
    let new = replanned(&facts);
    let under_way = &new.scenario.stock.under_way.boils;
    let it = under_way.iter().find(|b| b.item == boil.id).unwrap();
    // 50 minutes are two steps of half an hour.
    assert_eq!(it.until - boil.end, Duration::minutes(60));
    let Step::Boil(BoilStep { fill_from, .. }) = boil.step else {
        panic!("it is a boil")
    };
    for item in &new.plan.work {
        if let Step::Fill(FillStep { from, .. }) = &item.step
            && from.contains(&boil.id)
        {
            assert!(
                item.start >= fill_from + Duration::minutes(60),
                "{}",
                item.id
            );
        }
    }
}

#[test]
fn less_ice_than_planned_is_said_and_planned_around() {
    let now = at(52.0);
    let mut facts = Facts::none(now);
    facts.measured.ice_kg = Some(StockMass::of(2.0));
    let new = replanned(&facts);
    assert!(
        new.because
            .iter()
            .any(|b| b.contains("ice measured") && b.contains("below plan"))
    );
    if !new.changes.is_empty() {
        let ice = |c: &Change| c.why.iter().any(|why| why.contains("ice"));
        assert!(new.changes.iter().any(ice), "{}", all_told(&new));
    }
    assert!(new.plan.short_litres() < 0.1, "{}", all_told(&new));
}

#[test]
fn a_new_booking_moves_little_and_nothing_that_is_frozen() {
    let (scenario, made) = published();
    let mut more = scenario.clone().into_inner();
    let mut line = more.demand[0].clone();
    line.id = DemandId::parse("late-booking").unwrap();
    line.due = at(24.0 * 5.0 + 11.0);
    line.litres = DemandVolume::of(36.0);
    line.kind = DemandKind::Booking;
    line.priority = Priority::FIRST;
    more.demand.push(line);
    let more = more.check().unwrap();
    let now = at(27.0);
    let facts = Facts {
        frozen_min: 24 * 60,
        ..Facts::none(now)
    };
    let new = replan(&more, made, &facts, limits(), Watch::default()).unwrap();
    assert!(new.frozen_kept);
    let until = now + Duration::hours(24);
    for change in &new.changes {
        let made = ["boil", "fill", "gas", "wash"].contains(&change.work.as_str());
        let early = [change.from, change.to]
            .into_iter()
            .flatten()
            .any(|t| t < until);
        assert!(!(made && early), "{}", all_told(&new));
    }
    let booking = new
        .plan
        .services
        .iter()
        .find(|s| s.demand.as_str() == "late-booking");
    assert!(booking.unwrap().short_l < 0.1, "{}", all_told(&new));
    assert!(!new.changes.is_empty());
    assert!(new.kept > 30, "{}", all_told(&new));
}

/// Replanning again from what a replanning gave changes nothing either.
#[test]
fn a_chain_of_replannings_holds() {
    let (boil, now) = a_boil(24.0);
    let facts = Facts {
        events: vec![Event::Failed {
            item: boil.id.clone(),
            at: now,
            out_until: None,
        }],
        ..Facts::none(now)
    };
    let first = replanned(&facts);
    let scenario = first.scenario.clone().check().unwrap();
    for hours in [0, 3, 30, 77] {
        let facts = Facts::none(first.plan.start + Duration::hours(hours));
        let next = replan(&scenario, &first.plan, &facts, limits(), Watch::default())
            .unwrap_or_else(|e| panic!("{hours}: {e}"));
        assert!(next.changes.is_empty(), "{hours}: {}", all_told(&next));
    }
}

#[test]
fn facts_that_cannot_be_are_refused_with_the_field() {
    let (scenario, made) = published();
    let now = at(30.0);
    let unknown = Event::Skipped {
        item: serde_json::from_str("\"boil-999\"").unwrap(),
    };
    let first: WorkId = made.work[0].id.clone();
    let later = Event::Finished {
        item: first,
        at: now + Duration::hours(1),
    };
    let cases = [
        (Facts::none(at(-1.0)), "now"),
        (Facts::none(at(24.0 * 8.0)), "now"),
        (
            Facts {
                events: vec![unknown],
                ..Facts::none(now)
            },
            "events[0].item",
        ),
        (
            Facts {
                events: vec![later],
                ..Facts::none(now)
            },
            "events[0].at",
        ),
    ];
    for (facts, field) in cases {
        let answer = replan(scenario, made, &facts, limits(), Watch::default());
        let Err(NoAnswer::BadQuestion { field: found, .. }) = answer else {
            panic!("{field}: {:?}", answer.map(|a| a.because));
        };
        assert_eq!(found, field);
    }
}

#[test]
fn the_same_facts_give_the_same_answer() {
    let mut facts = Facts::none(at(52.0));
    facts.measured.ice_kg = Some(StockMass::of(2.0));
    let text = || serde_json::to_string(&replanned(&facts)).unwrap();
    assert_eq!(text(), text());
}
