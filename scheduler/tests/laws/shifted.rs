//! A scenario shifted by a day has its plan shifted by a day.

use chrono::{DateTime, Datelike, Duration, FixedOffset};
use scheduler::check::Checked;
use scheduler::plan::{Plan, Status};
use scheduler::scenario::{Scenario, Weekday};

use crate::runner::{Finding, Verdict, changed, holds, planned};
use crate::scenarios::ALWAYS;

#[test]
fn a_day_later_everything_is_the_same() {
    holds(9, 24, |scenario| {
        // Where the clocks change one day differs from the next.
        if scenario.horizon.start.month() != 6 {
            return Err(Finding::Elsewhere);
        }
        let Some(later) = changed(scenario, shift) else {
            return Err(Finding::Broken("a day later it is refused".to_owned()));
        };
        same(scenario, &later)
    });
}

fn same(scenario: &Checked, later: &Checked) -> Verdict {
    let (first, second) = (planned(scenario, 0.02)?, planned(later, 0.02)?);
    // How far a search comes before its time is over says nothing of the days.
    if [&first, &second]
        .iter()
        .any(|plan| plan.verdict.status == Status::StoppedByTime)
    {
        return Err(Finding::Elsewhere);
    }
    let (first, second) = (
        told(&first, Duration::days(1)),
        told(&second, Duration::zero()),
    );
    if first != second {
        return Err(Finding::Broken(format!("{first:#?}\n{second:#?}")));
    }
    Ok(())
}

/// What a plan says, with its work later by some time.
fn told(plan: &Plan, later: Duration) -> Vec<String> {
    let mut lines = vec![format!("{} {}", plan.verdict.worth, plan.verdict.bound)];
    lines.extend(
        plan.services
            .iter()
            .map(|s| format!("{} {}", s.demand, s.served_l)),
    );
    lines.extend(plan.work.iter().map(|item| {
        let (start, end) = (item.start + later, item.end + later);
        format!("{} {start} {end} {}", item.id, item.hands_min)
    }));
    lines
}

fn shift(scenario: &mut Scenario) {
    let day = |at: &mut DateTime<FixedOffset>| *at += Duration::days(1);
    let next = |days: &mut Vec<Weekday>| {
        for weekday in days {
            let n = ALWAYS.iter().position(|d| d == weekday).unwrap();
            *weekday = ALWAYS[(n + 1) % 7];
        }
    };
    day(&mut scenario.horizon.start);
    let setup = &mut scenario.setup;
    setup.crew.shifts.iter_mut().for_each(|s| next(&mut s.days));
    setup
        .ice
        .bar_draw
        .iter_mut()
        .for_each(|d| next(&mut d.days));
    setup.quiet_hours.iter_mut().for_each(|q| next(&mut q.days));
    if let Some(purchase) = &mut setup.ice.purchase {
        purchase
            .delivered
            .iter_mut()
            .for_each(|d| next(&mut d.days));
    }
    for outage in &mut setup.outages {
        day(&mut outage.from);
        day(&mut outage.until);
    }
    let stock = &mut scenario.stock;
    stock.ready.iter_mut().for_each(|r| day(&mut r.gassed_at));
    stock.on_tap.iter_mut().for_each(|t| day(&mut t.tapped_at));
    stock.deliveries.iter_mut().for_each(|d| day(&mut d.at));
    scenario.demand.iter_mut().for_each(|d| day(&mut d.due));
}
