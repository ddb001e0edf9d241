//! What would be dangerous is refused, not planned.

use model::Temperature;

use super::Collector;
use crate::recipe::{RATING_SHARE, held_at};
use crate::scenario::{ContainerMaterial, GasMethod, Scenario};

/// Hottest water a PET container may be filled with, in °C (from memory; the container's own
/// marking decides).
const PET_HOTTEST_C: f64 = 45.0;

/// The coldest store: a drink with as much sugar and CO2 as any freezes below it.
const COLDEST: Temperature = Temperature::of(-1.0);

pub(super) fn check(scenario: &Scenario, faults: &mut Collector) {
    let setup = &scenario.setup;
    for (n, store) in setup.cold_stores.iter().enumerate() {
        if store.air_c < COLDEST {
            faults.add(
                format!("setup.cold_stores[{n}].air_c"),
                format!(
                    "{} found; at least {COLDEST} is allowed: what stands in a colder store freezes",
                    store.air_c
                ),
            );
        }
    }
    for (n, keg) in setup.keg_types.iter().enumerate() {
        if keg.material == ContainerMaterial::Pet && keg.hottest_fill_c.celsius() > PET_HOTTEST_C {
            faults.add(
                format!("setup.keg_types[{n}].hottest_fill_c"),
                format!(
                    "{} found; at most {PET_HOTTEST_C} °C is allowed for PET, which softens",
                    keg.hottest_fill_c
                ),
            );
        }
    }
    for (n, station) in setup.gas_stations.iter().enumerate() {
        let GasMethod::Rest { highest_bar, .. } = &station.method else {
            continue;
        };
        for keg in setup
            .keg_types
            .iter()
            .filter(|k| station.keg_types.contains(&k.id))
        {
            let allowed = keg.rating_bar.bar() * RATING_SHARE;
            if highest_bar.bar() > allowed {
                faults.add(
                    format!("setup.gas_stations[{n}].method.highest_bar"),
                    format!(
                        "{highest_bar} found; at most {allowed:.1} bar is allowed, 80 % of what \
                         \"{}\" is stamped for",
                        keg.id
                    ),
                );
            }
        }
    }
    blanket(scenario, faults);
    for (n, keg) in setup.keg_types.iter().enumerate() {
        let allowed = keg.rating_bar.bar() * RATING_SHARE;
        if scenario.policy.purge_bar.bar() > allowed {
            faults.add(
                "policy.purge_bar",
                format!(
                    "{} found; at most {allowed:.1} bar is allowed, 80 % of what \
                     setup.keg_types[{n}] is stamped for",
                    scenario.policy.purge_bar
                ),
            );
        }
    }
}

/// Filled kegs are kept under so little CO2 that no drink gets too much of it before it is gassed,
/// and no keg more than it may.
fn blanket(scenario: &Scenario, faults: &mut Collector) {
    let Some(bar) = scenario.policy.blanket_bar else {
        return;
    };
    let at = "policy.blanket_bar";
    for (n, keg) in scenario.setup.keg_types.iter().enumerate() {
        let allowed = keg.rating_bar.bar() * RATING_SHARE;
        if bar.bar() > allowed {
            faults.add(
                at,
                format!(
                    "{bar} found; at most {allowed:.1} bar is allowed, 80 % of what \
                     setup.keg_types[{n}] is stamped for"
                ),
            );
        }
    }
    for store in &scenario.setup.cold_stores {
        for product in &scenario.setup.products {
            let target = product.carbonation_g_per_l;
            let Ok(held) = held_at(scenario, product, store.air_c) else {
                continue;
            };
            if bar > held {
                faults.add(
                    at,
                    format!(
                        "{bar} found; at most {held:.2} is allowed, which keeps {target} in \"{}\" \
                         in \"{}\": a keg that waits would get more than it is to have",
                        product.id, store.id
                    ),
                );
            }
        }
    }
}
