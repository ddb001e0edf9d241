//! Safety stock, substitution, and the order in which kegs are served.

use chrono::Duration;
use scheduler::plan::{Served, Step, TapStep};
use scheduler::sample;
use scheduler::scenario::quantities::{DemandVolume, Price};
use scheduler::scenario::{ReadyKegs, SafetyStock, Scenario, Substitute};

use crate::base::{at, gassed, id, of_kind, planned, small, wanted};

fn with_safety(price: f64) -> Scenario {
    let mut scenario = small();
    wanted(&mut scenario, "plain-soda", (1, 17), 17.0);
    scenario.setup.products[0].safety = Some(SafetyStock {
        litres: DemandVolume::of(30.0),
        price_per_l: Price::new(price).unwrap(),
    });
    scenario
}

#[test]
fn a_safety_stock_is_made_if_its_price_pays_for_it() {
    // 30 L are two kegs beside the one that is served.
    let plan = planned(&with_safety(2.0));
    assert_eq!(gassed(&plan), 3);
    assert_eq!(plan.reserves.len(), 2);
    assert!(
        plan.reserves.iter().all(|r| r.short_l < 0.1),
        "{:?}",
        plan.reserves
    );
    let cheap = planned(&with_safety(0.001));
    assert_eq!(gassed(&cheap), 1);
    assert!((cheap.reserves[1].short_l - 30.0).abs() < 0.1);
    // What a reserve counts for is no cost.
    assert!(plan.verdict.cost > cheap.verdict.cost && plan.verdict.cost < 30.0);
}

#[test]
fn a_service_comes_before_a_reserve() {
    let mut scenario = with_safety(2.0);
    scenario.stock.empty[0].clean = 1;
    scenario.stock.empty[0].dirty = 0;
    let plan = planned(&scenario);
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
    assert!(plan.reserves[1].short_l > 29.0);
}

/// Two kegs of plain soda are ready and there is nothing to make tonic with.
fn without_tonic(price: f64) -> Scenario {
    let mut scenario = small();
    scenario.stock.empty[0].clean = 0;
    scenario.stock.empty[0].dirty = 0;
    scenario.stock.ready = vec![ReadyKegs {
        product: id("plain-soda"),
        keg_type: id("keg-19"),
        store: id("walk-in"),
        kegs: 2,
        gassed_at: at(-2, 12, 0),
    }];
    scenario.setup.products[1].substitutes = vec![Substitute {
        product: id("plain-soda"),
        price_per_l: Price::new(price).unwrap(),
    }];
    wanted(&mut scenario, "plain-soda", (0, 17), 12.0);
    wanted(&mut scenario, "tonic", (0, 17), 10.0);
    scenario
}

#[test]
fn another_product_is_served_where_it_may_stand_in() {
    let plan = planned(&without_tonic(5.0));
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
    let tonic = &plan.services[1];
    assert_eq!(tonic.instead.len(), 1);
    assert_eq!(tonic.instead[0].product.as_str(), "plain-soda");
    assert!((tonic.instead[0].litres - 10.0).abs() < 0.05);
    assert!(plan.services[0].instead.is_empty());
    // The price of standing in is no cost of hands, heat, ice, CO2 or washing.
    assert!(plan.verdict.cost < 3.0, "{}", plan.verdict.cost);
    // A litre short costs 20.
    let dear = planned(&without_tonic(25.0));
    assert!(dear.services[1].instead.is_empty());
    assert!((dear.services[1].short_l - 10.0).abs() < 0.05);
}

#[test]
fn what_is_wanted_itself_is_served_first() {
    let mut scenario = without_tonic(5.0);
    scenario.stock.ready[0].kegs = 1;
    let plan = planned(&scenario);
    // 17.9 L for 12 L of plain soda and 10 L of tonic.
    assert!(plan.services[0].short_l < 0.05);
    assert!(
        (plan.services[1].short_l - 4.055).abs() < 0.05,
        "{:?}",
        plan.services
    );
}

#[test]
fn a_tap_opened_to_stand_in_serves_its_own_lines_too() {
    let mut scenario = without_tonic(1.0);
    // One keg: 10 L stand in for tonic on Monday, 7.9 L are left for Tuesday's plain soda.
    scenario.stock.ready[0].kegs = 1;
    scenario.demand.clear();
    wanted(&mut scenario, "tonic", (0, 17), 10.0);
    wanted(&mut scenario, "plain-soda", (1, 17), 7.5);
    let plan = planned(&scenario);
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
    assert_eq!(of_kind(&plan, "tap").count(), 1);
}

#[test]
fn the_keg_that_was_ready_first_is_tapped_first() {
    let mut scenario = small();
    let keg = |days: i64| ReadyKegs {
        product: id("plain-soda"),
        keg_type: id("keg-19"),
        store: id("walk-in"),
        kegs: 1,
        gassed_at: at(-days, 12, 0),
    };
    // Listed newest first; the oldest keeps until Monday afternoon only.
    scenario.stock.ready = vec![keg(2), keg(20), keg(9)];
    scenario.horizon.start += Duration::zero();
    wanted(&mut scenario, "plain-soda", (0, 17), 17.0);
    let plan = planned(&scenario);
    let tap = of_kind(&plan, "tap").next().unwrap();
    let Step::Tap(TapStep { from, .. }) = &tap.step else {
        panic!("a tapping");
    };
    assert!(from[0].item.is_none());
    assert_eq!(gassed(&plan), 0);
}

/// The rack that gasses tonic takes small kegs only, and a large one of it stands ready.
#[test]
fn a_keg_in_stock_that_no_station_gasses_is_served_at_the_pressure_that_holds_it() {
    let mut scenario = sample::fixed();
    scenario.horizon.days = 1;
    scenario.demand.clear();
    scenario.setup.gas_stations[0].keg_types = vec![id("keg-9")];
    let tonic = scenario.setup.products.iter_mut();
    for product in tonic.filter(|p| p.id.as_str() == "tonic") {
        product.gas_stations = vec![id("resting-rack")];
    }
    scenario.stock.on_tap.clear();
    wanted(&mut scenario, "tonic", (0, 18), 12.0);
    // What nobody can have, so early, is not served, whatever digits it has.
    wanted(
        &mut scenario,
        "citrus-soda",
        (0, 18),
        13.299_999_999_999_999,
    );
    wanted(&mut scenario, "citrus-soda", (0, 7), 18.927);
    let plan = planned(&scenario);
    let litres: Vec<f64> = plan.services.iter().map(|s| s.served_l).collect();
    assert!((litres[0] - 12.0).abs() < 1e-9, "{:?}", plan.services);
    let none = |served: f64| (0.0..1e-9).contains(&served) && !served.is_sign_negative();
    assert!(none(litres[2]), "{:?}", plan.services);
    let whole = |s: &Served| (s.served_l + s.short_l - s.wanted_l).abs() < 1e-9;
    assert!(plan.services.iter().all(whole), "{:?}", plan.services);
    let bars = of_kind(&plan, "tap").filter_map(|item| match &item.step {
        Step::Tap(TapStep { serve_bar, .. }) => Some(*serve_bar),
        _ => None,
    });
    let bars: Vec<f64> = bars.collect();
    assert!(!bars.is_empty(), "the keg of tonic is tapped");
    assert!(bars.iter().all(|bar| *bar > 1.0), "{bars:?}");
}
