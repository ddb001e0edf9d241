//! Names that are used exist, and equipment makes sense in itself.

use std::collections::BTreeSet;

use chrono::Timelike;

use super::Collector;
use crate::scenario::{Chill, GasMethod, LONGEST_DAYS, Product, Scenario, Setup};

pub(super) fn check(scenario: &Scenario, faults: &mut Collector) {
    site(scenario, faults);
    let setup = &scenario.setup;
    counts(setup, faults);
    ids(setup, faults);
    names(setup, faults);
    equipment(setup, faults);
    crew(setup, faults);
    stations(setup, faults);
    routes(setup, faults);
    products(setup, faults);
}

fn site(scenario: &Scenario, faults: &mut Collector) {
    faults.name("site.name".to_owned(), &scenario.site.name);
    let code = &scenario.site.currency;
    if code.len() != 3 || !code.chars().all(|c| c.is_ascii_uppercase()) {
        faults.add(
            "site.currency",
            format!("\"{code}\" found; three capital letters of ISO 4217 are allowed, such as EUR"),
        );
    }
    let days = scenario.horizon.days;
    if !(1..=LONGEST_DAYS).contains(&days) {
        faults.add(
            "horizon.days",
            format!("{days} found; 1 to {LONGEST_DAYS} days are allowed"),
        );
    }
    let step = i64::from(scenario.horizon.grid_minutes.minutes()) * 60;
    let zone = scenario.site.time_zone;
    let clock = |at: chrono::DateTime<chrono::FixedOffset>| {
        i64::from(at.with_timezone(&zone).num_seconds_from_midnight())
    };
    if let Some(until) = scenario.horizon.until
        && (clock(until).rem_euclid(step) != 0 || until <= scenario.horizon.start)
    {
        faults.add(
            "horizon.until",
            format!(
                "{} found; it must lie on a full step of {} minutes, after the start",
                until.to_rfc3339(),
                step / 60
            ),
        );
    }
    let start = scenario.horizon.start;
    if clock(start).rem_euclid(step) != 0 || scenario.horizon.start.timestamp_subsec_nanos() != 0 {
        faults.add(
            "horizon.start",
            format!(
                "{} found; it must lie on a full step of {} minutes of the site's clock",
                start.to_rfc3339(),
                step / 60
            ),
        );
    }
}

fn counts(setup: &Setup, faults: &mut Collector) {
    faults.count("setup.pots", setup.pots.len(), 1, 20);
    faults.count("setup.circuits", setup.circuits.len(), 0, 20);
    faults.count("setup.cold_stores", setup.cold_stores.len(), 1, 20);
    faults.count("setup.keg_types", setup.keg_types.len(), 1, 20);
    faults.count("setup.gas_stations", setup.gas_stations.len(), 1, 20);
    faults.count("setup.routes", setup.routes.len(), 1, 20);
    faults.count("setup.products", setup.products.len(), 1, 60);
    faults.count("setup.crew.shifts", setup.crew.shifts.len(), 1, 60);
    faults.count("setup.crew.closed", setup.crew.closed.len(), 0, 366);
    faults.count("setup.ice.bar_draw", setup.ice.bar_draw.len(), 0, 28);
}

fn ids(setup: &Setup, faults: &mut Collector) {
    faults.unique("setup.pots", "pot", setup.pots.iter().map(|x| &x.id));
    let circuits = setup.circuits.iter().map(|x| &x.id);
    faults.unique("setup.circuits", "circuit", circuits);
    let stores = setup.cold_stores.iter().map(|x| &x.id);
    faults.unique("setup.cold_stores", "cold store", stores);
    let kegs = setup.keg_types.iter().map(|x| &x.id);
    faults.unique("setup.keg_types", "keg type", kegs);
    let stations = setup.gas_stations.iter().map(|x| &x.id);
    faults.unique("setup.gas_stations", "gassing point", stations);
    faults.unique("setup.routes", "route", setup.routes.iter().map(|x| &x.id));
    let products = setup.products.iter().map(|x| &x.id);
    faults.unique("setup.products", "product", products);
}

fn names(setup: &Setup, faults: &mut Collector) {
    let lists: [(&str, Vec<&String>); 7] = [
        ("pots", setup.pots.iter().map(|x| &x.name).collect()),
        ("circuits", setup.circuits.iter().map(|x| &x.name).collect()),
        (
            "cold_stores",
            setup.cold_stores.iter().map(|x| &x.name).collect(),
        ),
        (
            "keg_types",
            setup.keg_types.iter().map(|x| &x.name).collect(),
        ),
        (
            "gas_stations",
            setup.gas_stations.iter().map(|x| &x.name).collect(),
        ),
        ("routes", setup.routes.iter().map(|x| &x.name).collect()),
        ("products", setup.products.iter().map(|x| &x.name).collect()),
    ];
    for (list, names) in lists {
        for (n, name) in names.into_iter().enumerate() {
            faults.name(format!("setup.{list}[{n}].name"), name);
        }
    }
}

fn equipment(setup: &Setup, faults: &mut Collector) {
    for (n, pot) in setup.pots.iter().enumerate() {
        if pot.smallest_fill_l > pot.volume_l {
            faults.add(
                format!("setup.pots[{n}].smallest_fill_l"),
                format!(
                    "{} found; at most the pot's volume of {} is allowed",
                    pot.smallest_fill_l, pot.volume_l
                ),
            );
        }
    }
    circuits(setup, faults);
    for (n, keg) in setup.keg_types.iter().enumerate() {
        if keg.fill_l >= keg.brim_l {
            faults.add(
                format!("setup.keg_types[{n}].fill_l"),
                format!(
                    "{} found; less than the inner volume of {} is allowed, to leave a headspace",
                    keg.fill_l, keg.brim_l
                ),
            );
        }
        if let Some(bottles) = keg.per_crate.filter(|n| !(2..=60).contains(n)) {
            faults.add(
                format!("setup.keg_types[{n}].per_crate"),
                format!("{bottles} found; 2 to 60 bottles in a crate are allowed"),
            );
        }
    }
    if setup.wash.stations == 0 {
        faults.add("setup.wash.stations", "0 found; at least 1 is needed");
    }
    let most = setup.costs.co2_cylinder_kg.kilograms();
    if most <= 0.0 {
        faults.add(
            "setup.costs.co2_cylinder_kg",
            "0 kg found; a full cylinder holds more than that",
        );
    }
}

/// A pot on a circuit must be able to heat at all.
fn circuits(setup: &Setup, faults: &mut Collector) {
    let known: BTreeSet<_> = setup.circuits.iter().map(|x| &x.id).collect();
    for (n, pot) in setup.pots.iter().enumerate() {
        let Some(id) = &pot.circuit else { continue };
        let field = format!("setup.pots[{n}].circuit");
        let Some(circuit) = setup.circuits.iter().find(|c| c.id == *id) else {
            faults.known(field, "circuit", id, &known);
            continue;
        };
        if pot.power_w > circuit.power_w {
            faults.add(
                field,
                format!(
                    "\"{id}\" gives {}; the pot takes {} and could never heat",
                    circuit.power_w, pot.power_w
                ),
            );
        }
    }
}

fn crew(setup: &Setup, faults: &mut Collector) {
    for (n, shift) in setup.crew.shifts.iter().enumerate() {
        let field = format!("setup.crew.shifts[{n}]");
        faults.count(&format!("{field}.days"), shift.days.len(), 1, 7);
        if shift.to <= shift.from {
            faults.add(
                format!("{field}.to"),
                format!(
                    "{} found; it must be later than the start at {} (split a shift at midnight)",
                    shift.to, shift.from
                ),
            );
        }
        if !(1..=50).contains(&shift.hands) {
            faults.add(
                format!("{field}.hands"),
                format!("{} found; 1 to 50 are allowed", shift.hands),
            );
        }
    }
}

fn stations(setup: &Setup, faults: &mut Collector) {
    let kegs: BTreeSet<_> = setup.keg_types.iter().map(|x| &x.id).collect();
    let stores: BTreeSet<_> = setup.cold_stores.iter().map(|x| &x.id).collect();
    for (n, station) in setup.gas_stations.iter().enumerate() {
        let field = format!("setup.gas_stations[{n}]");
        if !(1..=200).contains(&station.connections) {
            faults.add(
                format!("{field}.connections"),
                format!("{} found; 1 to 200 are allowed", station.connections),
            );
        }
        faults.all_known(
            &format!("{field}.keg_types"),
            "keg type",
            &station.keg_types,
            &kegs,
        );
        faults.all_known(
            &format!("{field}.stores"),
            "cold store",
            &station.stores,
            &stores,
        );
        if let GasMethod::Rest { hours, .. } = &station.method {
            faults.count(&format!("{field}.method.hours"), hours.len(), 1, 8);
        }
    }
}

fn routes(setup: &Setup, faults: &mut Collector) {
    let pots: BTreeSet<_> = setup.pots.iter().map(|x| &x.id).collect();
    let stores: BTreeSet<_> = setup.cold_stores.iter().map(|x| &x.id).collect();
    for (n, route) in setup.routes.iter().enumerate() {
        let field = format!("setup.routes[{n}]");
        faults.count(&format!("{field}.pots"), route.pots.len(), 1, 20);
        faults.count(&format!("{field}.stores"), route.stores.len(), 1, 20);
        faults.all_known(&format!("{field}.pots"), "pot", &route.pots, &pots);
        faults.all_known(
            &format!("{field}.stores"),
            "cold store",
            &route.stores,
            &stores,
        );
        let to_c = match route.chill {
            Chill::IceInWater { to_c } | Chill::IceBath { to_c, .. } => to_c,
            Chill::None => continue,
        };
        if to_c >= route.heat_to_c || to_c.celsius() < 1.0 {
            faults.add(
                format!("{field}.chill.to_c"),
                format!(
                    "{to_c} found; 1 °C up to below the heated water's {} is allowed",
                    route.heat_to_c
                ),
            );
        }
    }
}

fn products(setup: &Setup, faults: &mut Collector) {
    let kegs: BTreeSet<_> = setup.keg_types.iter().map(|x| &x.id).collect();
    let stations: BTreeSet<_> = setup.gas_stations.iter().map(|x| &x.id).collect();
    for (n, product) in setup.products.iter().enumerate() {
        let field = format!("setup.products[{n}]");
        faults.all_known(
            &format!("{field}.keg_types"),
            "keg type",
            &product.keg_types,
            &kegs,
        );
        faults.all_known(
            &format!("{field}.gas_stations"),
            "gassing point",
            &product.gas_stations,
            &stations,
        );
        substitutes(setup, (n, product), faults);
    }
}

fn substitutes(setup: &Setup, (n, product): (usize, &Product), faults: &mut Collector) {
    let known: BTreeSet<_> = setup.products.iter().map(|x| &x.id).collect();
    let field = format!("setup.products[{n}].substitutes");
    faults.count(&field, product.substitutes.len(), 0, 20);
    let mut seen = BTreeSet::new();
    for (m, substitute) in product.substitutes.iter().enumerate() {
        let field = format!("{field}[{m}].product");
        let id = &substitute.product;
        faults.known(field.clone(), "product", id, &known);
        if *id == product.id || !seen.insert(id) {
            faults.add(
                field,
                format!("\"{id}\" found; another product is allowed, each once"),
            );
        }
    }
}
