//! More of a resource never makes a plan worse, capacity never falls as time goes on, and no more
//! kegs are tapped at the first service than can be ready by then.

use chrono::{Duration, Utc};
use scheduler::answer::{CapacityQuestion, NoAnswer, capacity};
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::plan::{Step, TapStep};
use scheduler::scenario::Scenario;
use scheduler::scenario::quantities as q;
use scheduler::search::Limits;

use crate::runner::{Finding, Verdict, changed, holds, quickly};

/// Money lost in rounding two amounts to cents.
const CENTS: f64 = 0.02;

/// One more of something.
type More = (&'static str, fn(&mut Scenario));

const MORE: [More; 9] = [
    ("a pot", |s| {
        let mut pot = s.setup.pots[0].clone();
        let like = pot.id.clone();
        pot.id = crate::scenarios::id("another");
        for route in &mut s.setup.routes {
            if route.pots.contains(&like) {
                route.pots.push(pot.id.clone());
            }
        }
        s.setup.pots.push(pot);
    }),
    ("hands", |s| {
        for shift in &mut s.setup.crew.shifts {
            shift.hands += 1;
        }
    }),
    ("places", |s| s.setup.cold_stores[0].places += 2),
    ("cooling", |s| {
        let store = &mut s.setup.cold_stores[0];
        store.cooling_w = q::CoolingPower::new(store.cooling_w.watts() + 300.0).unwrap();
    }),
    ("connections", |s| s.setup.gas_stations[0].connections += 1),
    ("clean kegs", |s| s.stock.empty[0].clean += 2),
    ("ice", |s| {
        s.stock.ice_kg = q::StockMass::new(s.stock.ice_kg.kilograms() + 10.0).unwrap();
    }),
    ("a CO2 cylinder", |s| {
        let full = s.setup.costs.co2_cylinder_kg.kilograms();
        s.stock.co2_kg = q::StockMass::new(s.stock.co2_kg.kilograms() + full).unwrap();
    }),
    ("materials", |s| {
        for there in &mut s.stock.materials {
            there.amount = q::MaterialAmount::new(there.amount.units() + 1.0).unwrap();
        }
    }),
];

/// Whatever a plan with less is worth, no bound with more is below it.
#[test]
fn more_of_anything_never_makes_a_plan_worse() {
    holds(6, 40, |scenario| {
        let before = quickly(scenario)?.verdict;
        for (what, more) in MORE {
            let Some(richer) = changed(scenario, more) else {
                continue;
            };
            let after = quickly(&richer)?.verdict;
            if after.bound < before.worth - CENTS {
                return Err(Finding::Broken(format!(
                    "with more {what} at most {}, without it {}",
                    after.bound, before.worth
                )));
            }
        }
        Ok(())
    });
}

/// Nothing spoils, nothing is out of service and the bar leaves the ice, so what can be ready stays
/// ready. (A capacity by six does not keep back ice that the bar takes at seven.)
fn lasting(scenario: &Checked) -> Option<Checked> {
    changed(scenario, |s| {
        s.setup.outages.clear();
        s.setup.ice.bar_draw.clear();
        for product in &mut s.setup.products {
            product.shelf_days = q::ShelfDays::of(60.0);
        }
        for ready in &mut s.stock.ready {
            ready.gassed_at = s.horizon.start;
        }
    })
}

fn most(scenario: &Checked, by: chrono::DateTime<Utc>) -> Result<(u32, u32), String> {
    let question = CapacityQuestion {
        by: by.fixed_offset(),
        product: None,
        mix: Vec::new(),
    };
    let answer = |seconds: f64| {
        let limits = Limits {
            seconds,
            ..Limits::default()
        };
        capacity(scenario, &question, limits, Watch::default())
    };
    let answer = match answer(1.0) {
        // A slow machine needs longer for a first answer.
        Err(NoAnswer::Stopped(_)) => answer(30.0),
        answer => answer,
    };
    let answer = answer.map_err(|error| error.to_string())?;
    Ok((answer.kegs, answer.at_most))
}

#[test]
fn capacity_never_falls() {
    holds(7, 25, |scenario| {
        let Some(scenario) = lasting(scenario) else {
            return Err(Finding::Elsewhere);
        };
        let clock = scenario.horizon.timeline(scenario.site.time_zone);
        let mut before = 0;
        for hour in [4, 8, 12, 20] {
            let by = clock.start() + Duration::hours(hour);
            let (kegs, at_most) = most(&scenario, by)?;
            if kegs > at_most || before > at_most {
                return Err(Finding::Broken(format!(
                    "{kegs} and at most {at_most} kegs by {by}, {before} before it"
                )));
            }
            before = before.max(kegs);
        }
        Ok(())
    });
}

#[test]
fn no_more_is_tapped_than_can_be_ready() {
    holds(8, 60, first_service);
}

fn first_service(scenario: &Checked) -> Verdict {
    let Some(scenario) = lasting(scenario) else {
        return Err(Finding::Elsewhere);
    };
    let clock = scenario.horizon.timeline(scenario.site.time_zone);
    let due = scenario.demand.iter().map(|line| line.due.to_utc()).min();
    let step = due.and_then(|due| clock.step_of(due)).unwrap_or(0);
    if step == 0 {
        return Err(Finding::Elsewhere);
    }
    let by = clock.at(step);
    let plan = quickly(&scenario)?;
    let tapped: u32 = plan
        .work
        .iter()
        .filter(|item| item.start.to_utc() == by)
        .map(|item| match item.step {
            Step::Tap(TapStep { kegs, .. }) => kegs,
            _ => 0,
        })
        .sum();
    // A keg that is tapped as it gets ready is uncoupled in the step that follows.
    let uncoupled = clock.at(step + 1);
    if uncoupled > clock.end() {
        return Err(Finding::Elsewhere);
    }
    let (_, at_most) = most(&scenario, uncoupled)?;
    if tapped > at_most {
        return Err(Finding::Broken(format!(
            "{tapped} kegs are tapped; {at_most} can be ready"
        )));
    }
    Ok(())
}
