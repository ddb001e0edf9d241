//! Work under way is known to the setup, does not contradict itself, and lies after the start.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};

use super::Collector;
use crate::scenario::{PotId, Scenario};

pub(super) fn check(scenario: &Scenario, faults: &mut Collector) {
    counts(scenario, faults);
    made(scenario, faults);
    kegs(scenario, faults);
    pots(scenario, faults);
    connections(scenario, faults);
    for (field, at) in instants(scenario) {
        let start = scenario.horizon.start;
        if at < start {
            faults.add(
                format!("stock.under_way.{field}"),
                format!(
                    "{} found; what is under way is not over before the plan's start at {}",
                    at.to_rfc3339(),
                    start.to_rfc3339()
                ),
            );
        }
    }
}

fn counts(scenario: &Scenario, faults: &mut Collector) {
    let under_way = &scenario.stock.under_way;
    for (field, found, most) in [
        ("boils", under_way.boils.len(), 20),
        ("gassing", under_way.gassing.len(), 200),
        ("washing", under_way.washing.len(), 200),
        ("at_bar", under_way.at_bar.len(), 200),
        ("ice_coming", under_way.ice_coming.len(), 60),
        ("out_of_use", under_way.out_of_use.len(), 20),
    ] {
        faults.count(&format!("stock.under_way.{field}"), found, 0, most);
    }
}

fn instants(scenario: &Scenario) -> Vec<(String, DateTime<FixedOffset>)> {
    let under_way = &scenario.stock.under_way;
    let mut instants = Vec::new();
    for (n, x) in under_way.boils.iter().enumerate() {
        instants.push((format!("boils[{n}].fill_from"), x.fill_from));
        instants.extend(x.chill_at.map(|at| (format!("boils[{n}].chill_at"), at)));
    }
    for (n, x) in under_way.gassing.iter().enumerate() {
        instants.push((format!("gassing[{n}].ready_at"), x.ready_at));
    }
    for (n, x) in under_way.washing.iter().enumerate() {
        instants.push((format!("washing[{n}].until"), x.until));
    }
    for (n, x) in under_way.ice_coming.iter().enumerate() {
        instants.push((format!("ice_coming[{n}].at"), x.at));
    }
    for (n, x) in under_way.out_of_use.iter().enumerate() {
        instants.push((format!("out_of_use[{n}].until"), x.until));
    }
    instants
}

/// Boils name their route and pot, and leave time to be filled.
fn made(scenario: &Scenario, faults: &mut Collector) {
    let setup = &scenario.setup;
    let routes: BTreeSet<_> = setup.routes.iter().map(|x| &x.id).collect();
    let known: BTreeSet<_> = setup.pots.iter().map(|x| &x.id).collect();
    let mut items = BTreeSet::new();
    for (n, x) in scenario.stock.under_way.boils.iter().enumerate() {
        let field = format!("stock.under_way.boils[{n}]");
        faults.known(format!("{field}.route"), "route", &x.route, &routes);
        faults.known(format!("{field}.pot"), "pot", &x.pot, &known);
        if x.until <= x.fill_from {
            faults.add(
                format!("{field}.until"),
                format!(
                    "{} found; the pot is filled from {} on",
                    x.until.to_rfc3339(),
                    x.fill_from.to_rfc3339()
                ),
            );
        }
        if !items.insert(&x.item) {
            faults.add(
                format!("{field}.item"),
                format!("a second boil \"{}\"; each is allowed once", x.item),
            );
        }
    }
    for (n, x) in scenario.stock.under_way.out_of_use.iter().enumerate() {
        let field = format!("stock.under_way.out_of_use[{n}].pot");
        faults.known(field, "pot", &x.pot, &known);
    }
}

fn kegs(scenario: &Scenario, faults: &mut Collector) {
    let setup = &scenario.setup;
    let kegs: BTreeSet<_> = setup.keg_types.iter().map(|x| &x.id).collect();
    let stores: BTreeSet<_> = setup.cold_stores.iter().map(|x| &x.id).collect();
    let products: BTreeSet<_> = setup.products.iter().map(|x| &x.id).collect();
    let stations: BTreeSet<_> = setup.gas_stations.iter().map(|x| &x.id).collect();
    let under_way = &scenario.stock.under_way;
    for (n, x) in under_way.gassing.iter().enumerate() {
        let field = format!("stock.under_way.gassing[{n}]");
        let station = format!("{field}.station");
        faults.known(station, "gassing point", &x.station, &stations);
        faults.known(format!("{field}.product"), "product", &x.product, &products);
        faults.known(format!("{field}.keg_type"), "keg type", &x.keg_type, &kegs);
        faults.known(format!("{field}.store"), "cold store", &x.store, &stores);
    }
    for (n, x) in under_way.washing.iter().enumerate() {
        let field = format!("stock.under_way.washing[{n}].keg_type");
        faults.known(field, "keg type", &x.keg_type, &kegs);
    }
    for (n, x) in under_way.at_bar.iter().enumerate() {
        let field = format!("stock.under_way.at_bar[{n}]");
        faults.known(format!("{field}.product"), "product", &x.product, &products);
        faults.known(format!("{field}.keg_type"), "keg type", &x.keg_type, &kegs);
    }
}

/// A pot has one boil at a time, or is out of use.
fn pots(scenario: &Scenario, faults: &mut Collector) {
    let under_way = &scenario.stock.under_way;
    let mut seen: BTreeSet<&PotId> = BTreeSet::new();
    let boils = under_way.boils.iter().map(|x| &x.pot);
    for pot in boils.chain(under_way.out_of_use.iter().map(|x| &x.pot)) {
        if !seen.insert(pot) {
            faults.add(
                "stock.under_way",
                format!("pot \"{pot}\" is taken twice; one boil, or out of use, is allowed"),
            );
        }
    }
}

/// No more kegs are coupled than there are connections.
fn connections(scenario: &Scenario, faults: &mut Collector) {
    let mut coupled: BTreeMap<_, u32> = BTreeMap::new();
    for x in &scenario.stock.under_way.gassing {
        *coupled.entry(&x.station).or_default() += u32::from(x.kegs);
    }
    for station in &scenario.setup.gas_stations {
        let found = coupled.get(&station.id).copied().unwrap_or(0);
        if found > u32::from(station.connections) {
            faults.add(
                "stock.under_way.gassing",
                format!(
                    "{found} kegs coupled to \"{}\"; it has {} connections",
                    station.id, station.connections
                ),
            );
        }
    }
}
