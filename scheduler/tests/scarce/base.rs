//! A small site with one thing of each kind, to which each test adds what it is about.

use chrono::{DateTime, Duration, FixedOffset, NaiveTime};
use scheduler::answer::plan;
use scheduler::milp::Watch;
use scheduler::plan::{GasStep, Plan, Step, WorkItem};
use scheduler::sample;
use scheduler::scenario::quantities::DemandVolume;
use scheduler::scenario::{Demand, DemandKind, Priority, Scenario};
use scheduler::search::Limits;

/// An id that is known to be one.
pub(crate) fn id<T: TryFrom<String>>(text: &str) -> T
where
    T::Error: std::fmt::Debug,
{
    T::try_from(text.to_owned()).unwrap()
}

/// A time of the first days of June 2026, in Lisbon; 1 June is a Monday.
pub(crate) fn at(day: i64, hour: i64, minute: i64) -> DateTime<FixedOffset> {
    let monday = DateTime::parse_from_rfc3339("2026-06-01T00:00:00+01:00").unwrap();
    monday + Duration::days(day) + Duration::minutes(hour * 60 + minute)
}

/// A time of day.
pub(crate) fn time(hour: u32, minute: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(hour, minute, 0).unwrap()
}

/// Two days, two pots, one cold store, one size of keg, a bench on which kegs are shaken; ice to
/// spare, four people from nine to four.
pub(crate) fn small() -> Scenario {
    let mut scenario = sample::fixed();
    scenario.horizon.days = 2;
    let setup = &mut scenario.setup;
    setup.cold_stores.truncate(1);
    setup.keg_types.truncate(1);
    setup.gas_stations.remove(0);
    setup.gas_stations[0].connections = 10;
    setup.gas_stations[0].keg_types = vec![id("keg-19")];
    setup.gas_stations[0].stores = vec![id("walk-in")];
    setup.routes.truncate(1);
    setup.routes[0].stores = vec![id("walk-in")];
    setup
        .products
        .retain(|p| ["plain-soda", "tonic"].contains(&p.id.as_str()));
    setup.crew.shifts.truncate(1);
    setup.crew.shifts[0].hands = 4;
    setup.ice.bar_draw.clear();
    let stock = &mut scenario.stock;
    stock.empty.truncate(1);
    stock.ready.clear();
    stock.on_tap.clear();
    stock.materials.clear();
    scenario.demand.clear();
    scenario
}

/// Litres of a product wanted on a day at an hour.
pub(crate) fn wanted(scenario: &mut Scenario, product: &str, (day, hour): (i64, i64), litres: f64) {
    scenario.demand.push(Demand {
        id: id(&format!("{product}-{}", scenario.demand.len())),
        product: id(product),
        due: at(day, hour, 0),
        litres: DemandVolume::new(litres).unwrap(),
        priority: Priority::USUAL,
        kind: DemandKind::Forecast,
        note: None,
    });
}

/// The plan, which has passed its replay.
pub(crate) fn planned(scenario: &Scenario) -> Plan {
    let checked = match scenario.clone().check() {
        Ok(checked) => checked,
        Err(faults) => panic!("{faults}"),
    };
    let limits = Limits {
        seconds: 20.0,
        ..Limits::default()
    };
    plan(&checked, limits, Watch::default()).unwrap()
}

/// Litres served.
pub(crate) fn served(plan: &Plan) -> f64 {
    plan.services.iter().map(|s| s.served_l).sum()
}

/// Items of one kind.
pub(crate) fn of_kind<'a>(plan: &'a Plan, kind: &'a str) -> impl Iterator<Item = &'a WorkItem> {
    plan.work
        .iter()
        .filter(move |item| item.step.kind() == kind)
}

/// Kegs gassed.
pub(crate) fn gassed(plan: &Plan) -> u32 {
    plan.work
        .iter()
        .map(|item| match item.step {
            Step::Gas(GasStep { kegs, .. }) => kegs,
            _ => 0,
        })
        .sum()
}

/// A shortage is blamed on this, among others.
pub(crate) fn blamed(plan: &Plan, resource: &str) {
    let reasons: Vec<&str> = plan
        .services
        .iter()
        .flat_map(|s| &s.why)
        .map(|reason| reason.resource.as_str())
        .collect();
    assert!(reasons.contains(&resource), "{resource}: {reasons:?}");
}
