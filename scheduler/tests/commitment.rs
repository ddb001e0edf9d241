//! Whether something more can be taken, on the first days of the demo.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

use chrono::{DateTime, Duration, FixedOffset};
use scheduler::answer::{Can, CommitmentAnswer, CommitmentQuestion, NoAnswer, commitment};
use scheduler::milp::Watch;
use scheduler::sample;
use scheduler::scenario::quantities::DemandVolume;
use scheduler::scenario::{ProductId, Scenario};
use scheduler::search::Limits;

fn due(day: i64, hour: i64) -> DateTime<FixedOffset> {
    // The demo starts at six.
    sample::fixed().horizon.start + Duration::hours(24 * day + hour - 6)
}

/// The first three days of the demo.
fn scenario() -> Scenario {
    let mut scenario = sample::fixed();
    scenario.horizon.days = 3;
    let end = scenario.horizon.start + Duration::days(3);
    scenario.demand.retain(|line| line.due < end);
    scenario
}

fn question(kegs: u16, due: DateTime<FixedOffset>) -> CommitmentQuestion {
    CommitmentQuestion {
        product: ProductId::parse("plain-soda").unwrap(),
        litres: None,
        kegs: Some(kegs),
        keg_type: None,
        due,
    }
}

fn asked(question: &CommitmentQuestion) -> Result<CommitmentAnswer, NoAnswer> {
    let scenario = scenario().check().unwrap();
    let limits = Limits {
        seconds: 60.0,
        ..Limits::default()
    };
    commitment(&scenario, question, limits, Watch::default())
}

/// A yes comes with a plan that serves it, and serves everybody else as before: without it, the
/// demo's first days serve everything.
#[test]
fn two_kegs_can_be_had_and_nobody_is_served_less() {
    let answer = asked(&question(2, due(2, 18))).unwrap();
    assert_eq!(answer.can, Can::Yes, "{answer:?}");
    // By hand: 2 kegs of 18.5 L, less 3 % that foam and lines take.
    assert!((answer.wanted_l - 35.89).abs() < 1e-9);
    assert!(answer.plan.short_litres() < 0.05);
    let line = answer.plan.services.last().unwrap();
    assert_eq!(line.demand.as_str(), "commitment");
    assert!(line.short_l < 0.05);
    assert!(answer.touched.is_empty());
    assert!(answer.costs_more > 0.0, "{}", answer.costs_more);
    assert!(!answer.changes.is_empty());
    assert_eq!(answer.plan.verdict.replayed_minutes, 3 * 24 * 60);
}

/// Whatever can be taken, its plan serves it and everybody else as before, and the figures agree.
#[test]
fn a_yes_is_a_plan_that_serves_it() {
    for (product, kegs, day) in [("tonic", 1, 1), ("citrus-soda", 3, 2), ("plain-soda", 6, 1)] {
        let question = CommitmentQuestion {
            product: ProductId::parse(product).unwrap(),
            ..question(kegs, due(day, 19))
        };
        let answer = asked(&question).unwrap();
        let served = answer.plan.services.last().unwrap().served_l;
        let whole = served >= answer.wanted_l - 0.05;
        assert_eq!(whole, answer.can != Can::No, "{product}: {:?}", answer.can);
        assert!(answer.most_l <= answer.at_most_l + 1e-9, "{product}");
        if answer.can == Can::Yes {
            assert!(
                answer.plan.short_litres() < 0.05 && answer.touched.is_empty(),
                "{product}"
            );
            assert_eq!(answer.earliest, Some(answer.due));
        }
    }
}

/// On the first afternoon twenty kegs cannot be had: what can, and by when all of it could, is told
/// with its bounds.
#[test]
fn twenty_kegs_at_once_are_too_many() {
    let answer = asked(&question(20, due(0, 18))).unwrap();
    assert_ne!(answer.can, Can::Yes);
    assert!(answer.most_l < answer.wanted_l - 1.0);
    assert!(answer.most_l <= answer.at_most_l + 1e-9, "{answer:?}");
    assert!(answer.at_most_l <= answer.wanted_l + 1e-9);
    let line = answer.plan.services.last().unwrap();
    assert!(line.served_l <= answer.wanted_l);
    if let (Some(earliest), Some(not_before)) = (answer.earliest, answer.not_before) {
        assert!(not_before <= earliest && not_before > due(0, 18));
    }
    // Nobody is served less in a plan that is not a yes by others' leave.
    assert_eq!(answer.touched.is_empty(), answer.can == Can::No);
}

#[test]
fn a_question_that_does_not_fit_is_refused_with_the_field() {
    let good = question(2, due(2, 18));
    let cases = [
        (
            CommitmentQuestion {
                product: ProductId::parse("cola").unwrap(),
                ..good.clone()
            },
            "product",
        ),
        (question(0, due(2, 18)), "kegs"),
        (question(2, due(9, 18)), "due"),
        (
            CommitmentQuestion {
                kegs: None,
                ..good.clone()
            },
            "litres",
        ),
        (
            CommitmentQuestion {
                litres: Some(DemandVolume::of(5.0)),
                ..good
            },
            "litres",
        ),
    ];
    for (question, field) in cases {
        let Err(NoAnswer::BadQuestion { field: found, .. }) = asked(&question) else {
            panic!("{field}");
        };
        assert_eq!(found, field);
    }
}
