//! The replay, which shares no code with the planner, accepts every plan.
//!
//! 2,000 scenarios in four lots, so that they are tried side by side. The law is about every plan,
//! not only the best, so the search is given little time and is content with a good one.

use crate::runner::{holds, quickly};

/// Planning includes the replay, and a plan it refuses is an error.
fn accepted(seed: u64) {
    holds(seed, 500, |scenario| quickly(scenario).map(|_| ()));
}

#[test]
fn the_replay_accepts_every_plan_of_the_first_lot() {
    accepted(1);
}

#[test]
fn the_replay_accepts_every_plan_of_the_second_lot() {
    accepted(2);
}

#[test]
fn the_replay_accepts_every_plan_of_the_third_lot() {
    accepted(3);
}

#[test]
fn the_replay_accepts_every_plan_of_the_fourth_lot() {
    accepted(4);
}

#[test]
#[ignore]
fn zz_timing() {
    let times = std::cell::RefCell::new(Vec::new());
    let bad = std::cell::RefCell::new(0);
    holds(77, 150, |scenario| {
        let t = std::time::Instant::now();
        let plan = quickly(scenario);
        let dt = t.elapsed().as_secs_f64();
        times.borrow_mut().push(dt);
        let v = match &plan {
            Ok(p) => format!(
                "{:?} worth {} bound {} short {}",
                p.verdict.status, p.verdict.worth, p.verdict.bound, p.verdict.short_l
            ),
            Err(e) => {
                *bad.borrow_mut() += 1;
                eprintln!(
                    "JSON{}",
                    serde_json::to_string(&scenario.clone().into_inner()).unwrap()
                );
                e.clone()
            }
        };
        if dt > 0.5 || plan.is_err() {
            eprintln!(
                "{dt:.2} {} {:?} {v}",
                scenario.horizon.days, scenario.horizon.grid_minutes
            );
        }
        Ok(())
    });
    let mut t = times.into_inner();
    t.sort_by(f64::total_cmp);
    eprintln!(
        "n {} bad {} sum {:.1} median {:.3} p90 {:.3} max {:.3}",
        t.len(),
        bad.into_inner(),
        t.iter().sum::<f64>(),
        t[t.len() / 2],
        t[t.len() * 9 / 10],
        t[t.len() - 1]
    );
}
