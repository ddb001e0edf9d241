//! What would be dangerous is refused, not planned.

use model::{GaugePressure, Temperature, limits};

use super::Collector;
use crate::recipe::{RATING_SHARE, held_at};
use crate::scenario::{ContainerMaterial, GasMethod, Scenario};

/// No keg is stamped higher, and the equations for CO2 under pressure end here: 20 bar absolute.
const HIGHEST_RATING: GaugePressure = GaugePressure::of(19.0);

/// The coldest store: a drink with as much sugar and CO2 as any freezes below it.
const COLDEST: Temperature = Temperature::of(-1.0);

pub(super) fn check(scenario: &Scenario, faults: &mut Collector) {
    containers(scenario, faults);
    pressures(scenario, faults);
}

/// What freezes, softens or bursts what the drink stands in.
fn containers(scenario: &Scenario, faults: &mut Collector) {
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
        let softens = limits::filling(limits::VesselMaterial::Pet, keg.hottest_fill_c);
        if keg.material == ContainerMaterial::Pet && !softens.accepted {
            faults.add(
                format!("setup.keg_types[{n}].hottest_fill_c"),
                format!(
                    "{} found; at most {} °C is allowed for PET, which softens",
                    keg.hottest_fill_c, softens.limit.value
                ),
            );
        }
        if keg.rating_bar > HIGHEST_RATING {
            faults.add(
                format!("setup.keg_types[{n}].rating_bar"),
                format!(
                    "{} found; at most {HIGHEST_RATING} is allowed: no keg is stamped higher, and \
                     what is planned must stay below 80 % of the stamp",
                    keg.rating_bar
                ),
            );
        }
    }
}

/// Nothing is set above 80 % of what a keg is stamped for.
fn pressures(scenario: &Scenario, faults: &mut Collector) {
    let setup = &scenario.setup;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::Faults;

    /// What is wrong with the demo after one change.
    fn after(change: impl Fn(&mut Scenario)) -> Vec<(String, String)> {
        let mut scenario = crate::sample::fixed();
        change(&mut scenario);
        let faults = match scenario.check() {
            Ok(_) => Vec::new(),
            Err(Faults(faults)) => faults,
        };
        faults.into_iter().map(|f| (f.field, f.what)).collect()
    }

    #[test]
    fn a_rating_no_keg_has_is_refused() {
        let rated = |bar| after(|s| s.setup.keg_types[0].rating_bar = GaugePressure::of(bar));
        assert_eq!(rated(19.0), []);
        let (field, what) = &rated(40.0)[0];
        assert_eq!(field, "setup.keg_types[0].rating_bar");
        assert!(what.starts_with("40 bar found; at most 19 bar"), "{what}");
    }

    #[test]
    fn a_store_that_freezes_every_drink_is_refused_in_words_about_freezing() {
        let air = |c| after(|s| s.setup.cold_stores[0].air_c = Temperature::of(c));
        assert_eq!(air(-0.9), []);
        let (field, what) = &air(-2.0)[0];
        assert_eq!(field, "setup.cold_stores[0].air_c");
        assert!(what.ends_with("freezes"), "{what}");
    }

    #[test]
    fn the_limit_of_the_model_holds_for_bottles() {
        let filled = |c| {
            after(|s| {
                s.setup.keg_types[0].material = ContainerMaterial::Pet;
                s.setup.keg_types[0].hottest_fill_c = Temperature::of(c);
            })
        };
        assert_eq!(filled(limits::PET_HOTTEST_FILL.value), []);
        let (field, what) = &filled(60.0)[0];
        assert_eq!(field, "setup.keg_types[0].hottest_fill_c");
        assert!(what.contains("at most 49 °C"), "{what}");
    }
}
