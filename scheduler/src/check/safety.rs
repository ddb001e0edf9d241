//! What would be dangerous is refused, not planned.

use model::Temperature;

use super::Collector;
use crate::recipe::RATING_SHARE;
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
