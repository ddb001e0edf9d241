//! Rules of the trade against physics: what physics says, and how far off the
//! rule is. Each rule is *common practice, no source*, and says so beside its check.
#![allow(clippy::unwrap_used, clippy::panic)] // tests may fail loudly

use model::headspace::{self, Fill, Purging};
use model::{
    AbsolutePressure, Elevation, Fraction, GaugePressure, Mass, SugarContent, Temperature, Volume,
    air, atmosphere, carbonation, dechlorination, water,
};

const SEA_LEVEL: AbsolutePressure = AbsolutePressure::STANDARD_ATMOSPHERE;

/// Physics gives `value`, the rule says `rule`; `off` is by how much the rule
/// is off, in per cent of physics, to one percentage point.
fn check(what: &str, value: f64, rule: f64, off: f64) {
    let found = (rule / value - 1.0) * 100.0;
    assert!(
        (found - off).abs() < 1.0,
        "{what}: physics {value:.4}, rule {rule}: {found:+.1} %"
    );
}

fn air_in(celsius: f64) -> f64 {
    air::saturated(Temperature::new(celsius).unwrap(), SEA_LEVEL)
        .unwrap()
        .milligrams_per_litre()
}

/// g/L under one atmosphere of CO2 besides water vapour.
fn carbonated(celsius: f64) -> f64 {
    let at = Temperature::new(celsius).unwrap();
    let total = 1.01325 + water::saturation_pressure(at).unwrap().bar();
    carbonation::dissolved(
        at,
        AbsolutePressure::new(total).unwrap(),
        AbsolutePressure::VACUUM,
        SugarContent::of(0.0),
    )
    .unwrap()
    .grams_per_litre()
}

/// Common practice, no source: "a litre of water holds about 23 mg of air".
#[test]
fn water_holds_23_milligrams_of_air() {
    check("at 24 °C it does", air_in(24.0), 23.0, 0.0);
    check("cold mains hold a quarter more", air_in(10.0), 23.0, -23.5);
}

/// Common practice, no source: "heating to 90 °C removes 90 % of the air".
#[test]
fn ninety_per_cent_of_the_air_goes_at_90_degrees() {
    let removed = |from: f64, metres: f64| {
        let site = atmosphere::pressure_at(Elevation::new(metres).unwrap()).unwrap();
        let from = Temperature::new(from).unwrap();
        air::removed(from, Temperature::of(90.0), site)
            .unwrap()
            .value()
            * 100.0
    };
    check("at sea level it is 84 %", removed(10.0, 0.0), 90.0, 6.9);
    check("from 20 °C 81 %", removed(20.0, 0.0), 90.0, 11.3);
    check("at 1000 m it holds", removed(10.0, 1000.0), 90.0, 1.0);
    check("at 1600 m it is 92 %", removed(10.0, 1600.0), 90.0, -2.3);
}

/// Common practice, no source: "heating to 90 °C removes 90 % of the air".
#[test]
fn ninety_per_cent_needs_94_degrees_at_sea_level() {
    let needed = air::temperature_for_removal(Fraction::of(0.9), Temperature::of(10.0), SEA_LEVEL);
    assert!((needed.unwrap().celsius() - 94.0).abs() < 0.2);
}

/// Common practice, no source: "boiling drives out all air".
#[test]
fn boiling_drives_out_everything() {
    let boil = water::boiling_point(SEA_LEVEL).unwrap();
    let left = air::after_heating(boil, SEA_LEVEL)
        .unwrap()
        .milligrams_per_litre();
    assert!(left < 1e-6, "{left}");
}

/// Common practice, no source: "a litre at 0 °C takes up 3300 mg of CO2 under one atmosphere".
#[test]
fn a_litre_at_freezing_takes_3300_milligrams() {
    check("physics has 3382", carbonated(0.0) * 1000.0, 3300.0, -2.4);
}

/// Common practice, no source: "at 4 °C it takes up 15 % less".
#[test]
fn fifteen_per_cent_less_at_4_degrees() {
    let less = (1.0 - carbonated(4.0) / carbonated(0.0)) * 100.0;
    assert!((less - 14.2).abs() < 0.2, "{less}");
}

/// Common practice, no source: "at 15 °C it takes up 2000 mg".
#[test]
fn two_grams_at_15_degrees() {
    check(
        "physics has 1989 mg",
        carbonated(15.0) * 1000.0,
        2000.0,
        0.5,
    );
}

/// Common practice, no source: "air keeps out 50 times its volume of CO2".
#[test]
fn dissolved_air_displaces_fifty_times_as_much_carbon_dioxide() {
    // Volumes at 0 °C and 1 atm that a litre takes up under one atmosphere.
    let ratio = |celsius: f64| {
        let at = Temperature::new(celsius).unwrap();
        let total = 1.01325 + water::saturation_pressure(at).unwrap().bar();
        let gases = air::saturated_gases(at, AbsolutePressure::new(total).unwrap()).unwrap();
        let millimoles = gases.nitrogen.milligrams_per_litre() / 28.0134
            + gases.oxygen.milligrams_per_litre() / 31.9988
            + gases.argon.milligrams_per_litre() / 39.948;
        carbonated(celsius) / 44.0095 * 1000.0 / millimoles
    };
    // Only without headspace at a fixed total pressure.
    check("it is 58 at 0 °C", ratio(0.0), 50.0, -14.3);
    check("51 at 10 °C", ratio(10.0), 50.0, -2.7);
    check("45 at 20 °C", ratio(20.0), 50.0, 10.0);
}

/// Common practice, no source: "a third of the CO2 is lost to the air in the water".
#[test]
fn a_third_of_the_gas_is_lost_to_air() {
    let loss = |headspace: f64, at_tap: f64| {
        let fill = Fill {
            brim: Volume::of(19.5),
            liquid: Volume::new(19.5 * (1.0 - headspace)).unwrap(),
            air: air::saturated(Temperature::new(at_tap).unwrap(), SEA_LEVEL).unwrap(),
            temperature: Temperature::of(2.0),
            atmosphere: SEA_LEVEL,
        };
        let held = GaugePressure::of(2.0);
        headspace::loss(&fill, &Purging::NONE, held)
            .unwrap()
            .value()
            * 100.0
    };
    check(
        "exact for water saturated at 2 °C",
        loss(0.0, 2.0),
        33.3,
        0.0,
    );
    check("and whatever the headspace", loss(0.05, 2.0), 33.3, 0.0);
    check("tap water of 10 °C loses less", loss(0.0, 10.0), 33.3, 20.8);
}

/// Common practice, no source: "5 mg of ascorbate for each litre of tap water".
#[test]
fn five_milligrams_of_ascorbate_do_for_any_tap() {
    let covered = dechlorination::covers(
        dechlorination::Agent::SodiumAscorbate,
        Mass::from_grams(0.005).unwrap(),
        Volume::of(1.0),
        Fraction::NONE,
    )
    .unwrap()
    .milligrams_per_litre();
    // The legal maximum is 4 mg/L: the rule covers 45 % of that.
    check("it covers 1.79 mg/L", covered, 4.0, 123.5);
}

/// Common practice, no source: "the solubility at one atmosphere times the pressure".
#[test]
fn one_atmosphere_solubility_times_pressure() {
    let at = Temperature::of(2.0);
    let real = |gauge: f64| {
        let total = GaugePressure::new(gauge)
            .unwrap()
            .absolute(SEA_LEVEL)
            .unwrap();
        carbonation::dissolved(at, total, AbsolutePressure::VACUUM, SugarContent::of(0.0))
            .unwrap()
            .grams_per_litre()
    };
    let scaled = |gauge: f64| carbonated(2.0) / 1.01325 * (gauge + 1.01325);
    for (gauge, off) in [(1.0, 1.2), (2.0, 2.3), (3.0, 3.3), (5.0, 5.4), (10.0, 10.7)] {
        check("the gas is not ideal", real(gauge), scaled(gauge), off);
    }
}
