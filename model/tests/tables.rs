//! Planning tables calculated independently, held against the model to the digits given there.
//!
//! In Python with these libraries: CoolProp 8.0.0 for water, steam and CO2 gas, PyCO2SYS 1.8.3.4 for
//! the solubility of CO2 (Weiss 1974), iapws 1.5.5 for air in hot water (IAPWS G7-04), fluids 1.3.1
//! for the standard atmosphere, ht 1.2.0 for convection.
#![allow(clippy::unwrap_used, clippy::panic)] // tests may fail loudly

use model::cooling::{self, Container, Surroundings};
use model::headspace::{self, Fill, Purging};
use model::kinetics::{self, SHAKEN, StillKeg};
use model::limits::{self, SealedKeg};
use model::{
    AbsolutePressure, AirContent, AirSpeed, Carbonation, Elevation, GaugePressure, SugarContent,
    Temperature, Volume, air, atmosphere, carbonation,
};

const SEA_LEVEL: AbsolutePressure = AbsolutePressure::STANDARD_ATMOSPHERE;

fn check(what: &str, value: f64, expected: f64, tolerance: f64) {
    assert!(
        (value - expected).abs() <= tolerance,
        "{what}: {value}, expected {expected}"
    );
}

fn held(celsius: f64, gauge: f64, site: AbsolutePressure) -> Carbonation {
    carbonation::dissolved(
        Temperature::new(celsius).unwrap(),
        GaugePressure::new(gauge).unwrap().absolute(site).unwrap(),
        AbsolutePressure::VACUUM,
        SugarContent::of(0.0),
    )
    .unwrap()
}

#[test]
fn gauge_for_four_volumes() {
    for (celsius, gauge) in [(0.0, 1.40), (2.0, 1.60), (4.0, 1.81), (6.0, 2.03)] {
        let needed = carbonation::pressure_for(
            Carbonation::from_volumes(4.0).unwrap(),
            Temperature::new(celsius).unwrap(),
            AbsolutePressure::VACUUM,
            SugarContent::of(0.0),
        )
        .unwrap();
        check(
            "bar gauge",
            needed.gauge(SEA_LEVEL).unwrap().bar(),
            gauge,
            0.006,
        );
    }
}

#[test]
fn sensitivity_at_2_degrees_and_2_bar() {
    let here = held(2.0, 2.0, SEA_LEVEL).grams_per_litre();
    let percent = |other: Carbonation| (other.grams_per_litre() / here - 1.0) * 100.0;
    check("per kelvin", percent(held(3.0, 2.0, SEA_LEVEL)), -3.7, 0.1);
    check("per 0.1 bar", percent(held(2.0, 2.1, SEA_LEVEL)), 3.2, 0.1);
    let site = atmosphere::pressure_at(Elevation::of(1600.0)).unwrap();
    check("at 1600 m", percent(held(2.0, 2.0, site)), -5.8, 0.1);
}

#[test]
fn loss_to_air_by_headspace_and_purges() {
    let tap = air::saturated(Temperature::of(10.0), SEA_LEVEL).unwrap();
    let boiled = AirContent::of(4.75);
    let gauge = GaugePressure::of(2.0);
    let loss = |headspace: f64, air: AirContent, purging: Purging| {
        let fill = Fill {
            brim: Volume::of(19.5),
            liquid: Volume::new(19.5 * (1.0 - headspace)).unwrap(),
            air,
            temperature: Temperature::of(2.0),
            atmosphere: SEA_LEVEL,
        };
        headspace::loss(&fill, &purging, gauge).unwrap().value() * 100.0
    };
    // Headspace; tap water after 0, 1 and 3 purges and 3 with shaking; boiled after 0, 1, 3.
    let table = [
        (0.0, [28.0, 28.0, 28.0, 28.0], [4.5, 4.5, 4.5]),
        (0.01, [29.0, 23.0, 20.0, 15.0], [12.0, 6.3, 3.6]),
        (0.05, [31.0, 16.0, 10.0, 5.0], [23.0, 8.7, 2.3]),
        (0.10, [31.0, 14.0, 6.0, 3.0], [27.0, 9.6, 1.9]),
    ];
    for (share, raw, heated) in table {
        let purges = [
            Purging::NONE,
            Purging::prompt(1, gauge),
            Purging::prompt(3, gauge),
            Purging::reequilibrated(3, gauge),
        ];
        for (purging, expected) in purges.into_iter().zip(raw) {
            check("tap water", loss(share, tap, purging), expected, 1.5);
        }
        for (purging, expected) in purges.into_iter().zip(heated) {
            check(
                "boiled water",
                loss(share, boiled, purging),
                expected,
                0.05 * expected.max(10.0),
            );
        }
    }
}

#[test]
fn pressure_of_a_sealed_keg_left_to_warm() {
    let table = [
        (2.0, [4.5, 6.1, 7.9]),
        (3.0, [6.3, 8.5, 10.9]),
        (4.0, [8.1, 10.9, 13.9]),
    ];
    for (gauge, row) in table {
        for (celsius, expected) in [20.0, 30.0, 40.0].into_iter().zip(row) {
            let keg = SealedKeg {
                brim: Volume::of(19.5),
                liquid: Volume::of(18.5),
                temperature: Temperature::of(2.0),
                held: GaugePressure::new(gauge).unwrap(),
                sugar: SugarContent::of(0.0),
                atmosphere: SEA_LEVEL,
            };
            let warm = limits::warm_pressure(&keg, Temperature::new(celsius).unwrap()).unwrap();
            check("bar gauge", warm.bar(), expected, 0.02 * expected);
        }
    }
}

#[test]
fn still_kegs_take_days_and_a_higher_pressure_hours() {
    let keg = StillKeg::steel_19_l(Temperature::of(2.0));
    let full = held(2.0, 2.0, SEA_LEVEL);
    let part = |share: f64| Carbonation::new(share * full.grams_per_litre()).unwrap();
    let days = |target| keg.time(Carbonation::NONE, target, full).unwrap().hours() / 24.0;
    check("90 %, days", days(part(0.9)), 5.6, 0.1);
    check("95 %, days", days(part(0.95)), 8.3, 0.15);
    let boost = keg
        .time(Carbonation::NONE, full, held(2.0, 4.0, SEA_LEVEL))
        .unwrap();
    check("the same content at 4 bar, hours", boost.hours(), 37.0, 1.0);
}

#[test]
fn shaking_takes_minutes() {
    let full = held(2.0, 2.0, SEA_LEVEL);
    let target = Carbonation::new(0.95 * full.grams_per_litre()).unwrap();
    let minutes = |kla| {
        kinetics::time(kla, Carbonation::NONE, target, full)
            .unwrap()
            .minutes()
    };
    check("slowest", minutes(SHAKEN.low), 16.6, 0.1);
    check("fastest", minutes(SHAKEN.high), 3.3, 0.1);
}

#[test]
fn conductance_falls_as_a_keg_cools() {
    let keg = Container::STEEL_KEG_19_L;
    let still = Surroundings::still(Temperature::of(2.0));
    let at = |celsius: f64, around| {
        let surface = Temperature::new(celsius).unwrap();
        cooling::conductance(&keg, surface, around)
            .unwrap()
            .watts_per_kelvin()
    };
    check("hot, still", at(60.0, still), 3.2, 0.1);
    check("cold, still", at(4.0, still), 1.4, 0.1);
    let fan = Surroundings {
        speed: AirSpeed::of(1.0),
        ..still
    };
    check("fan", at(20.0, fan), 4.3, 0.2);
    let hot = Temperature::of(60.0);
    let load = cooling::after(&keg, still, hot, model::TimeSpan::ZERO)
        .unwrap()
        .heat;
    check("heat of a hot keg, W", load.watts(), 190.0, 6.0);
}
