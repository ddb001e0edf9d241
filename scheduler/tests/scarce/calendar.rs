//! Breaks, closed days, quiet hours and outages.

use scheduler::plan::{GasStep, Plan, Step};
use scheduler::scenario::{Break, Equipment, Noisy, Outage, QuietHours, Scenario, Weekday};

use crate::base::{at, blamed, gassed, of_kind, planned, served, small, time, wanted};

fn morning() -> Scenario {
    let mut scenario = small();
    wanted(&mut scenario, "plain-soda", (0, 17), 50.0);
    scenario
}

#[test]
fn nobody_works_in_a_break() {
    let mut scenario = morning();
    scenario.setup.crew.shifts[0].breaks = vec![Break {
        from: time(9, 30),
        to: time(16, 0),
    }];
    let plan = planned(&scenario);
    for item in plan.work.iter().filter(|item| item.hands_min > 0.0) {
        let free = item.start < at(0, 9, 30) || item.start >= at(0, 16, 0);
        assert!(free, "{} at {}", item.id, item.start);
    }
    // Half an hour before and an hour after it is too little to boil, chill and gas all of it.
    assert!(served(&plan) < served(&planned(&morning())) - 10.0);
}

#[test]
fn nothing_is_done_on_a_closed_day() {
    let mut scenario = morning();
    scenario.setup.crew.closed = vec![at(0, 0, 0).date_naive()];
    wanted(&mut scenario, "plain-soda", (1, 17), 17.0);
    let plan = planned(&scenario);
    assert!(plan.work.iter().all(|item| item.start >= at(1, 0, 0)));
    assert!((served(&plan) - 17.0).abs() < 0.05, "{:?}", plan.services);
}

fn quiet(scenario: &mut Scenario, (from, to): (u32, u32), silent: Noisy) {
    use Weekday::{Mon, Tue};
    scenario.setup.quiet_hours.push(QuietHours {
        days: vec![Mon, Tue],
        from: time(from, 0),
        to: time(to, 0),
        silent: vec![silent],
    });
}

#[test]
fn nothing_is_heard_in_quiet_hours() {
    let mut scenario = morning();
    quiet(&mut scenario, (7, 11), Noisy::Heating);
    quiet(&mut scenario, (12, 15), Noisy::Shaking);
    let plan = planned(&scenario);
    assert!(gassed(&plan) > 0);
    for boil in of_kind(&plan, "boil") {
        assert!(boil.start >= at(0, 11, 0), "{}", boil.start);
    }
    for gas in of_kind(&plan, "gas").filter(|gas| gas.start < at(1, 0, 0)) {
        let allowed = gas.start < at(0, 12, 0) || gas.start >= at(0, 15, 0);
        assert!(allowed, "{}", gas.start);
    }
}

#[test]
fn nothing_is_washed_in_quiet_hours() {
    let mut scenario = morning();
    scenario.stock.empty[0].clean = 0;
    quiet(&mut scenario, (7, 11), Noisy::Washing);
    let plan = planned(&scenario);
    assert!(of_kind(&plan, "wash").count() > 0);
    assert!(of_kind(&plan, "wash").all(|wash| wash.start >= at(0, 11, 0)));
}

fn out(scenario: &mut Scenario, equipment: Equipment, hours: (i64, i64), lost: Option<u16>) {
    scenario.setup.outages.push(Outage {
        equipment,
        from: at(0, hours.0, 0),
        until: at(0, hours.1, 0),
        lost,
        note: Some("Repair".to_owned()),
    });
}

#[test]
fn a_pot_out_of_service_is_not_used() {
    let mut scenario = morning();
    for pot in ["large-pot", "small-pot"] {
        let pot = crate::base::id(pot);
        out(&mut scenario, Equipment::Pot { pot }, (6, 12), None);
    }
    let plan = planned(&scenario);
    assert!(of_kind(&plan, "boil").count() > 0);
    assert!(of_kind(&plan, "boil").all(|boil| boil.start >= at(0, 12, 0)));
}

#[test]
fn lost_connections_and_stations_limit() {
    let mut scenario = morning();
    wanted(&mut scenario, "plain-soda", (0, 17), 40.0);
    let station = crate::base::id("shaking-bench");
    out(
        &mut scenario,
        Equipment::Connections { station },
        (6, 18),
        Some(9),
    );
    let plan = planned(&scenario);
    let kegs = |plan: &Plan, t: i64| -> u32 {
        let now = at(0, 9, 0) + chrono::Duration::minutes(t * 30);
        of_kind(plan, "gas")
            .filter(|gas| gas.start <= now && gas.end > now)
            .map(|gas| match gas.step {
                Step::Gas(GasStep { kegs, .. }) => kegs,
                _ => 0,
            })
            .sum()
    };
    assert!((0..14).all(|t| kegs(&plan, t) <= 1));
    assert!(gassed(&plan) >= 3);
}

#[test]
fn lost_places_limit_and_what_stands_there_stays() {
    let mut scenario = morning();
    scenario.stock.filled = vec![scheduler::scenario::FilledKegs {
        keg_type: crate::base::id("keg-19"),
        store: crate::base::id("walk-in"),
        kegs: 2,
        temperature_c: model::Temperature::of(3.0),
        air_mg_per_l: None,
        co2_g_per_l: None,
    }];
    let store = || crate::base::id("walk-in");
    out(
        &mut scenario,
        Equipment::Places { store: store() },
        (6, 20),
        None,
    );
    let plan = planned(&scenario);
    assert_eq!(of_kind(&plan, "fill").count(), 0);
    assert_eq!(gassed(&plan), 2);
    blamed(&plan, "places in walk-in");
}

#[test]
fn an_ice_machine_out_of_service_makes_none() {
    let mut scenario = morning();
    scenario.stock.ice_kg = scheduler::scenario::quantities::StockMass::of(5.0);
    scenario.setup.ice.purchase = None;
    let running = served(&planned(&scenario));
    out(&mut scenario, Equipment::IceMachine, (6, 17), None);
    let plan = planned(&scenario);
    assert!(served(&plan) < running - 5.0, "{running} {}", served(&plan));
    blamed(&plan, "ice");
}
