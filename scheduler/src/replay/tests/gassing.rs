//! Temperature, connections, pressure, carbonation and CO2.

use model::{GaugePressure, Temperature};

use super::fixture::{at, id};
use super::{Case, Rule, check, set};
use crate::scenario::quantities::StockMass;
use crate::scenario::{GasMethod, ProductId};

#[test]
fn a_keg_is_cold_when_it_is_gassed() {
    // Six hours after filling it is still at about 8 °C.
    let warm = |case: &mut Case| {
        let gas = case.item("gas-2");
        gas.start = at(0, 15, 0);
        gas.end = at(0, 15, 30);
        set!(
            "gas-2",
            Gas {
                ready_at: at(0, 15, 30)
            }
        )(case);
    };
    // Warm water takes up less at a pressure that is right for cold water.
    check(warm, &[Rule::Temperature, Rule::Carbonation]);
    // In Tuesday's first hour it is cold, but on Monday at 20:00 not yet.
    check(
        set!(
            "fill-1",
            Fill {
                cold_at: at(0, 20, 0)
            }
        ),
        &[Rule::Temperature],
    );
    let stock = |case: &mut Case| {
        case.scenario.stock.filled[0].temperature_c = Temperature::of(30.0);
    };
    check(stock, &[Rule::Temperature, Rule::Carbonation]);
    let mild = |case: &mut Case| case.scenario.setup.cold_stores[0].air_c = Temperature::of(3.98);
    check(mild, &[Rule::Temperature, Rule::Carbonation]);
}

#[test]
fn a_gassing_keg_has_a_connection() {
    // Two kegs at once on a bench for one.
    let together = |case: &mut Case| {
        case.scenario.setup.gas_stations[1].connections = 1;
        let gas = case.item("gas-3");
        gas.start = at(1, 9, 30);
        gas.end = at(1, 10, 0);
        set!(
            "gas-3",
            Gas {
                ready_at: at(1, 10, 0)
            }
        )(case);
        case.scenario.setup.crew.shifts[0].hands = 2;
    };
    check(together, &[Rule::Connections]);
    let far = |case: &mut Case| case.scenario.setup.gas_stations[1].stores = vec![id("walk-in")];
    check(far, &[Rule::Connections]);
    let narrow = |case: &mut Case| {
        case.scenario.setup.gas_stations[0].keg_types = vec![id("keg-9")];
    };
    check(narrow, &[Rule::Connections]);
    product(|p| p.keg_types = vec![id("keg-9")]);
    product(|p| p.gas_stations = vec![id("resting-rack")]);
}

/// The good plan with another plain soda breaks the rule of connections.
fn product(change: impl Fn(&mut crate::scenario::Product)) {
    let plain: ProductId = id("plain-soda");
    let changed = |case: &mut Case| {
        let products = &mut case.scenario.setup.products;
        products
            .iter_mut()
            .filter(|p| p.id == plain)
            .for_each(&change);
    };
    check(changed, &[Rule::Connections]);
}

#[test]
fn no_keg_is_brought_to_a_pressure_it_does_not_take() {
    // 80 % of 9 bar are 7.2 bar; the rack goes up to 5 bar.
    check(
        set!("gas-2", Gas { hold_bar: 7.5 }),
        &[Rule::Pressure, Rule::Carbonation],
    );
    let low = |case: &mut Case| {
        if let GasMethod::Rest { highest_bar, .. } = &mut case.scenario.setup.gas_stations[0].method
        {
            *highest_bar = GaugePressure::of(4.2);
        }
    };
    check(low, &[Rule::Pressure]);
    check(set!("gas-2", Gas { purge_bar: 3.0 }), &[Rule::Pressure]);
    check(set!("gas-2", Gas { purges: 1 }), &[Rule::Pressure]);
}

#[test]
fn a_keg_gets_the_co2_of_its_product() {
    check(
        set!("gas-1", Gas { regulator_bar: 4.0 }),
        &[Rule::Carbonation],
    );
    check(
        set!("gas-1", Gas { uptake_min: 1200.0 }),
        &[Rule::Carbonation],
    );
    check(
        set!("gas-2", Gas { uptake_min: 6.0 }),
        &[Rule::Carbonation, Rule::Hands],
    );
    check(set!("gas-2", Gas { hold_bar: 1.44 }), &[Rule::Carbonation]);
    check(set!("gas-2", Gas { hold_bar: 1.64 }), &[Rule::Carbonation]);
    check(
        set!(
            "gas-2",
            Gas {
                target_g_per_l: 7.0
            }
        ),
        &[Rule::Carbonation],
    );
    check(set!("tap-1", Tap { serve_bar: 1.2 }), &[Rule::Carbonation]);
    check(
        set!(
            "gas-1",
            Gas {
                ready_at: at(2, 9, 0)
            }
        ),
        &[Rule::Carbonation],
    );
}

/// Heated to 60 °C only, water keeps some 13 mg/L of air and 6 mg/L, 0.06 bar, more than the boil's.
#[test]
fn a_pressure_for_the_airiest_water_is_right_for_all() {
    let airy = |bar: f64| {
        move |case: &mut Case| {
            case.scenario.setup.routes[0].heat_to_c = Temperature::of(60.0);
            set!("gas-2", Gas { hold_bar: bar })(case);
        }
    };
    check(airy(1.64), &[]);
    check(airy(1.44), &[Rule::Carbonation]);
    check(airy(1.71), &[Rule::Carbonation]);
}

/// At 4 °C the pressures that hold 7.4 g/L of plain soda and 7.2 g/L of tonic are 0.2 bar higher
/// than in the store (Weiss 1974).
#[test]
fn a_keg_on_a_warm_tap_is_served_at_a_higher_pressure() {
    let warm = |plain: f64, tonic: f64| {
        move |case: &mut Case| {
            case.scenario.policy.tap_c = Some(Temperature::of(4.0));
            set!("tap-1", Tap { serve_bar: plain })(case);
            set!("tap-2", Tap { serve_bar: plain })(case);
            set!("tap-3", Tap { serve_bar: tonic })(case);
        }
    };
    check(warm(1.72, 1.88), &[]);
    check(warm(1.53, 1.67), &[Rule::Carbonation]);
    // A tap that is colder than the store does not cool a keg.
    check(
        |case| case.scenario.policy.tap_c = Some(Temperature::of(1.0)),
        &[],
    );
}

#[test]
fn the_cylinders_do_not_run_dry() {
    // 166 + 154 + 132 g for gassing, and some 90 g for each of three kegs at service.
    let left = |kg: f64| {
        move |case: &mut Case| {
            case.scenario.stock.co2_kg = StockMass::new(kg).unwrap();
        }
    };
    check(left(0.8), &[]);
    check(left(0.6), &[Rule::Co2]);
    check(set!("gas-2", Gas { co2_g_each: 120.0 }), &[Rule::Co2]);
}
