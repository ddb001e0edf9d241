//! How sure the demo week's plan is.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

use std::sync::OnceLock;

use scheduler::answer::{
    ConfidenceAnswer, ConfidenceQuestion, NoAnswer, Spreads, Unknown, confidence, plan,
};
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::plan::Plan;
use scheduler::sample;
use scheduler::search::Limits;

fn published() -> &'static (Checked, Plan) {
    static MADE: OnceLock<(Checked, Plan)> = OnceLock::new();
    MADE.get_or_init(|| {
        let scenario = sample::fixed().check().unwrap();
        let made = plan(&scenario, Limits::default(), Watch::default()).unwrap();
        (scenario, made)
    })
}

fn asked(replays: u32, seed: u64, spreads: Spreads) -> ConfidenceAnswer {
    let (scenario, plan) = published();
    let question = ConfidenceQuestion {
        replays,
        seed,
        spreads,
    };
    confidence(scenario, plan, &question, Watch::default()).unwrap()
}

#[test]
fn with_nothing_varied_the_plan_comes_true() {
    let answer = asked(100, 1, Spreads::none());
    for service in &answer.services {
        assert!(service.chance >= 1.0, "{service:?}");
    }
    assert!((answer.services_met - answer.services.len() as f64).abs() < 1e-9);
    assert!(answer.slack.is_empty(), "{:?}", answer.slack);
    assert!(answer.measure.is_empty(), "{:?}", answer.measure);
}

#[test]
fn the_same_seed_gives_the_same_answer_and_another_seed_another() {
    let text = |seed| serde_json::to_string(&asked(200, seed, Spreads::default())).unwrap();
    assert_eq!(text(5), text(5));
    assert_ne!(text(5), text(6));
}

/// More replays bring the chance closer: two answers differ by no more than their errors allow.
#[test]
fn more_replays_stay_within_the_sampling_error() {
    let few = asked(400, 1, Spreads::default());
    let many = asked(4000, 2, Spreads::default());
    for (a, b) in few.services.iter().zip(&many.services) {
        assert_eq!(a.demand, b.demand);
        assert!(
            b.standard_error < a.standard_error + 1e-9 || a.chance >= 1.0,
            "{a:?} {b:?}"
        );
        let error = a.standard_error.hypot(b.standard_error);
        // Four standard errors: of the demo's 40 services one in 400 such tests would fail.
        assert!(
            (a.chance - b.chance).abs() <= 4.0 * error + 1e-3,
            "{a:?} {b:?}"
        );
    }
}

/// What is known already is not to be measured, and the rest comes the dearest first.
#[test]
fn what_is_measured_first_is_what_costs_most() {
    let all = asked(500, 3, Spreads::default()).measure;
    assert!(!all.is_empty());
    assert!(
        all.windows(2)
            .all(|two| two[0].missing_l >= two[1].missing_l),
        "{all:?}"
    );
    let first = all[0].what;
    let known = match first {
        Unknown::Cooling => Spreads {
            cooling: 1.0,
            ..Spreads::default()
        },
        Unknown::Resting => Spreads {
            resting: 1.0,
            ..Spreads::default()
        },
        Unknown::Shaking => Spreads {
            shaking: 1.0,
            ..Spreads::default()
        },
        Unknown::Hands => Spreads {
            hands: 1.0,
            ..Spreads::default()
        },
        Unknown::Heating => Spreads {
            heating: 1.0,
            ..Spreads::default()
        },
        other => panic!("{other:?} comes first"),
    };
    let then = asked(500, 3, known).measure;
    assert!(then.iter().all(|one| one.what != first), "{then:?}");
}

/// Wider spreads never make the whole surer, by more than chance.
#[test]
fn wider_spreads_are_less_sure() {
    let narrow = Spreads {
        forecast: 1.0,
        booking: 1.0,
        resting: 1.1,
        shaking: 1.1,
        cooling: 1.05,
        ..Spreads::default()
    };
    let narrow = asked(500, 3, narrow);
    let wide = asked(500, 3, Spreads::default());
    assert!(
        narrow.services_met > wide.services_met + 0.5,
        "{} {}",
        narrow.services_met,
        wide.services_met
    );
    // What decides a service is late now and then, and the measure is a difference of two parts.
    for deciding in wide.services.iter().flat_map(|s| &s.decided_by) {
        assert!(deciding.late > 0.0 && deciding.late < 1.0);
        assert!(deciding.missed_more > 0.0 && deciding.missed_more <= 1.0);
    }
    for slack in &wide.slack {
        assert!(
            slack.services_more > 2.0 * slack.standard_error - 1e-3,
            "{slack:?}"
        );
    }
    assert!(!wide.slack.is_empty());
}

#[test]
fn questions_out_of_range_are_refused_with_the_field() {
    let (scenario, plan) = published();
    let narrow = |spreads| ConfidenceQuestion {
        spreads,
        ..ConfidenceQuestion::default()
    };
    let cases = [
        (
            ConfidenceQuestion {
                replays: 7,
                ..ConfidenceQuestion::default()
            },
            "replays",
        ),
        (
            narrow(Spreads {
                resting: 0.5,
                ..Spreads::default()
            }),
            "spreads.resting",
        ),
        (
            narrow(Spreads {
                enough_co2: f64::NAN,
                ..Spreads::default()
            }),
            "spreads.enough_co2",
        ),
    ];
    for (question, field) in cases {
        let Err(NoAnswer::BadQuestion { field: found, .. }) =
            confidence(scenario, plan, &question, Watch::default())
        else {
            panic!("{field}");
        };
        assert_eq!(found, field);
    }
    let mut other = plan.clone();
    other.work.clear();
    let refused = confidence(
        scenario,
        &other,
        &ConfidenceQuestion::default(),
        Watch::default(),
    );
    assert!(matches!(refused, Err(NoAnswer::BadQuestion { field, .. }) if field == "plan"));
}
