//! Services, shelf life, returns and sums.

use super::fixture::{at, id};
use super::{Case, Rule, check, set};
use crate::plan::{ReturnStep, Step, TapStep, WorkId, WorkItem};
use crate::scenario::quantities::{Hours, ShelfDays};

/// Another amount served of a line.
fn serve(line: usize, litres: f64) -> impl Fn(&mut Case) {
    move |case| {
        let served = &mut case.plan.services[line];
        let more = litres - served.served_l;
        served.served_l = litres;
        served.short_l -= more;
        case.plan.verdict.served_l += more;
        case.plan.verdict.short_l -= more;
    }
}

#[test]
fn what_is_served_is_on_tap() {
    // 35.89 L less 30 L are left on Thursday.
    check(serve(3, 5.8), &[]);
    check(serve(3, 6.5), &[Rule::Service]);
    check(|case| case.remove("tap-3"), &[Rule::Service]);
    // Thursday evening's keg is too late for Wednesday's service.
    let late = |case: &mut Case| {
        case.item("tap-2").start = at(2, 17, 30);
        case.item("tap-2").end = at(2, 17, 30);
    };
    check(late, &[Rule::Service]);
    check(set!("stale-1", Stale { litres: 4.0 }), &[Rule::Service]);
}

#[test]
fn nothing_too_old_is_poured_or_tapped() {
    let product = |n: usize, change: fn(&mut crate::scenario::Product)| {
        move |case: &mut Case| change(&mut case.scenario.setup.products[n])
    };
    // On Wednesday the rest of Tuesday's keg is 24 h old.
    check(product(0, |p| p.on_tap_h = Hours::of(24.0)), &[]);
    check(
        product(0, |p| p.on_tap_h = Hours::of(23.0)),
        &[Rule::Freshness],
    );
    // The tonic is six days old when it is tapped.
    check(product(5, |p| p.shelf_days = ShelfDays::of(7.0)), &[]);
    check(
        product(5, |p| p.shelf_days = ShelfDays::of(5.0)),
        &[Rule::Freshness],
    );
    // The rest of the ginger soda is past its time, and the plan pours it.
    let stale = |case: &mut Case| {
        case.scenario.demand[3].product = id("ginger-soda");
        case.plan.services[3].product = id("ginger-soda");
        serve(3, 2.5)(case);
        case.remove("stale-1");
    };
    check(stale, &[Rule::Freshness, Rule::Return]);
}

#[test]
fn discarded_kegs_are_the_oldest() {
    // Two mineral kegs of different age: the older is discarded, the younger may be tapped.
    let tapped = |gassed: (i64, i64)| {
        move |case: &mut Case| {
            let mut young = case.scenario.stock.ready[1].clone();
            young.gassed_at = at(gassed.0, gassed.1, 0);
            case.scenario.stock.ready.push(young);
            let tap = case.item("tap-3").clone();
            let mut tap = WorkItem {
                id: WorkId::new("tap", 4),
                ..tap
            };
            if let Step::Tap(TapStep {
                product,
                keg_type,
                store,
                serve_bar,
                ..
            }) = &mut tap.step
            {
                *product = id("mineral-soda");
                *keg_type = id("keg-9");
                *store = id("under-counter");
                *serve_bar = 1.91;
            }
            case.plan.work.push(tap);
        }
    };
    check(tapped((-19, 18)), &[]);
    // 21 days after that is Wednesday noon.
    check(tapped((-19, 12)), &[Rule::Freshness]);
}

#[test]
fn a_keg_comes_back_when_it_is_empty_and_its_service_is_over() {
    // Emptied on Wednesday at 17:00, its service ends at 23:00.
    let early = |case: &mut Case| {
        case.item("return-2").start = at(2, 22, 30);
        case.item("return-2").end = at(2, 22, 30);
        for shift in &mut case.scenario.setup.crew.shifts {
            shift.to = chrono::NaiveTime::from_hms_opt(23, 30, 0).unwrap();
        }
    };
    check(early, &[Rule::Return]);
    // On Thursday morning the second keg still has 5.9 L in it.
    check(set!("return-2", Return { kegs: 2 }), &[Rule::Return]);
    check(
        |case| case.item("return-1").start = at(0, 15, 30),
        &[Rule::Return],
    );
}

/// What is poured from which type of keg follows from what comes back.
#[test]
fn the_keg_that_must_be_empty_is_poured_first() {
    // A keg of 9.2 L is tapped on Tuesday beside the one of 18.5 L; 12 L are served.
    let both = |returned: &'static str| {
        move |case: &mut Case| {
            let mut ready = case.scenario.stock.ready[0].clone();
            ready.product = id("plain-soda");
            ready.keg_type = id("keg-9");
            case.scenario.stock.ready.push(ready);
            let mut tap = WorkItem {
                id: WorkId::new("tap", 4),
                ..case.item("tap-3").clone()
            };
            tap.start = at(1, 17, 0);
            if let Step::Tap(TapStep {
                product,
                keg_type,
                serve_bar,
                ..
            }) = &mut tap.step
            {
                *product = id("plain-soda");
                *keg_type = id("keg-9");
                *serve_bar = 1.53;
            }
            case.plan.work.push(tap);
            // It comes back on Wednesday, before the next service.
            let mut back = WorkItem {
                id: WorkId::new("return", 3),
                ..case.item("return-2").clone()
            };
            back.start = at(2, 9, 0);
            if let Step::Return(ReturnStep { keg_type, .. }) = &mut back.step {
                *keg_type = id(returned);
            }
            case.plan.work.push(back);
        }
    };
    check(both("keg-9"), &[]);
    check(both("keg-19"), &[Rule::Return]);
}

#[test]
fn the_totals_agree() {
    for change in [
        (|case: &mut Case| case.plan.verdict.served_l += 3.0) as fn(&mut Case),
        |case| case.plan.verdict.short_l = 0.0,
        |case| case.plan.verdict.kegs_gassed = 4,
        |case| case.plan.verdict.boils = 0,
        |case| case.plan.services[3].short_l = 0.0,
        |case| case.plan.services[3].wanted_l = 5.5,
        |case| case.plan.services[0].due = at(1, 17, 10),
    ] {
        check(change, &[Rule::Sums]);
    }
    check(
        |case| {
            case.plan.services.truncate(3);
            case.plan.verdict.served_l -= 5.5;
            case.plan.verdict.short_l -= 2.5;
        },
        &[Rule::Sums],
    );
}
