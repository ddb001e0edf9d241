//! What is on hand is known to the setup and fits into it.

use std::collections::{BTreeMap, BTreeSet};

use super::Collector;
use crate::scenario::{KegTypeId, Scenario, StoreId};

pub(super) fn check(scenario: &Scenario, faults: &mut Collector) {
    names(scenario, faults);
    times(scenario, faults);
    places(scenario, faults);
}

fn names(scenario: &Scenario, faults: &mut Collector) {
    let (setup, stock) = (&scenario.setup, &scenario.stock);
    let kegs: BTreeSet<_> = setup.keg_types.iter().map(|x| &x.id).collect();
    let stores: BTreeSet<_> = setup.cold_stores.iter().map(|x| &x.id).collect();
    let products: BTreeSet<_> = setup.products.iter().map(|x| &x.id).collect();
    faults.count("stock.empty", stock.empty.len(), 0, 20);
    faults.count("stock.filled", stock.filled.len(), 0, 200);
    faults.count("stock.ready", stock.ready.len(), 0, 500);
    faults.count("stock.on_tap", stock.on_tap.len(), 0, 200);
    for (n, x) in stock.empty.iter().enumerate() {
        faults.known(
            format!("stock.empty[{n}].keg_type"),
            "keg type",
            &x.keg_type,
            &kegs,
        );
    }
    for (n, x) in stock.filled.iter().enumerate() {
        let field = format!("stock.filled[{n}]");
        faults.known(format!("{field}.keg_type"), "keg type", &x.keg_type, &kegs);
        faults.known(format!("{field}.store"), "cold store", &x.store, &stores);
    }
    for (n, x) in stock.ready.iter().enumerate() {
        let field = format!("stock.ready[{n}]");
        faults.known(format!("{field}.product"), "product", &x.product, &products);
        faults.known(format!("{field}.keg_type"), "keg type", &x.keg_type, &kegs);
        faults.known(format!("{field}.store"), "cold store", &x.store, &stores);
    }
    for (n, x) in stock.on_tap.iter().enumerate() {
        let field = format!("stock.on_tap[{n}]");
        faults.known(format!("{field}.product"), "product", &x.product, &products);
        faults.known(format!("{field}.keg_type"), "keg type", &x.keg_type, &kegs);
    }
}

fn times(scenario: &Scenario, faults: &mut Collector) {
    let start = scenario.horizon.start;
    let gassed = scenario.stock.ready.iter().map(|x| x.gassed_at);
    let tapped = scenario.stock.on_tap.iter().map(|x| x.tapped_at);
    let fields = gassed
        .enumerate()
        .map(|(n, at)| (format!("stock.ready[{n}].gassed_at"), at))
        .chain(
            tapped
                .enumerate()
                .map(|(n, at)| (format!("stock.on_tap[{n}].tapped_at"), at)),
        );
    for (field, at) in fields {
        if at > start {
            faults.add(
                field,
                format!(
                    "{} found; it must not be later than the plan's start at {}",
                    at.to_rfc3339(),
                    start.to_rfc3339()
                ),
            );
        }
    }
    for (n, tapped) in scenario.stock.on_tap.iter().enumerate() {
        let types = &scenario.setup.keg_types;
        let Some(keg) = types.iter().find(|k| k.id == tapped.keg_type) else {
            continue;
        };
        if tapped.litres.litres() > keg.fill_l.litres() {
            faults.add(
                format!("stock.on_tap[{n}].litres"),
                format!(
                    "{} found; one {} holds {}",
                    tapped.litres, keg.name, keg.fill_l
                ),
            );
        }
    }
}

fn places(scenario: &Scenario, faults: &mut Collector) {
    let types = &scenario.setup.keg_types;
    let mut taken: BTreeMap<&StoreId, f64> = BTreeMap::new();
    let filled = scenario.stock.filled.iter();
    let ready = scenario.stock.ready.iter();
    let gassing = scenario.stock.under_way.gassing.iter();
    let standing: Vec<(&StoreId, &KegTypeId, u16)> = filled
        .map(|x| (&x.store, &x.keg_type, x.kegs))
        .chain(ready.map(|x| (&x.store, &x.keg_type, x.kegs)))
        .chain(gassing.map(|x| (&x.store, &x.keg_type, x.kegs)))
        .collect();
    for (store, keg_type, kegs) in standing {
        if let Some(keg) = types.iter().find(|k| k.id == *keg_type) {
            *taken.entry(store).or_default() += keg.places.places() * f64::from(kegs);
        }
    }
    for store in &scenario.setup.cold_stores {
        let found = taken.get(&store.id).copied().unwrap_or(0.0);
        if found > f64::from(store.places) + 1e-9 {
            faults.add(
                "stock",
                format!(
                    "the kegs counted in \"{}\" take {found} places; it has {}",
                    store.id, store.places
                ),
            );
        }
    }
}
