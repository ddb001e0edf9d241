//! Fits find what made the readings, and say how sure they are.
#![allow(clippy::unwrap_used, clippy::panic)] // tests may fail loudly

mod common;

use model::calibration::{
    self, ContentReading, CoolingLog, GasReading, GasUse, HeatingLog, TemperatureReading,
};
use model::heating::{self, Heater};
use model::{
    Carbonation, Conductance, Fraction, Load, Mass, MassFlow, MassTransfer, Power, Temperature,
    TimeSpan, Volume, ice_bath, kinetics,
};
use proptest::prelude::{prop_assert, proptest};

const KEG: Load = Load {
    liquid: Volume::of(18.5),
    steel: Mass::of(4.2),
};

/// The mean of theory, counted three times, and the truth, counted n times.
fn weighted(theory: f64, truth: f64, n: usize) -> f64 {
    (3.0 * theory + n as f64 * truth) / (3.0 + n as f64)
}

proptest! {
    #[test]
    fn conductance_of_a_cooling_keg(truth in 0.5..50.0, theory in 0.5..50.0, from in 20.0..90.0) {
        let start = Temperature::new(from).unwrap();
        let air = Temperature::of(2.0);
        let real = Conductance::new(truth).unwrap();
        let readings: Vec<_> = (1..=12)
            .map(|step| {
                let time = TimeSpan::new(f64::from(step) * 1e4 / truth).unwrap();
                let temperature = ice_bath::after(&KEG, start, air, real, time).unwrap();
                TemperatureReading { time, temperature }
            })
            .collect();
        let log = CoolingLog { load: KEG, surroundings: air, start };
        let theory = Conductance::new(theory).unwrap();
        let found = calibration::conductance(&log, &readings, theory).unwrap();
        let expected = weighted(theory.watts_per_kelvin(), truth, found.readings);
        prop_assert!((found.value.watts_per_kelvin() / expected - 1.0).abs() < 0.01);
        prop_assert!(found.used_at(from + 10.0).is_err());
    }

    #[test]
    fn gain_and_loss_of_a_heated_pot(watts in 1500.0..9000.0, loss in 0.0..15.0) {
        let pot = Load { liquid: Volume::of(30.0), steel: Mass::of(6.0) };
        let room = Temperature::of(20.0);
        let real = Heater {
            power: Power::new(watts).unwrap(),
            efficiency: Fraction::ALL,
            loss: Conductance::new(loss).unwrap(),
            room,
        };
        let readings: Vec<_> = (0..=15)
            .map(|step| {
                let temperature = Temperature::new(15.0 + 5.0 * f64::from(step)).unwrap();
                let time = heating::time(&pot, &real, Temperature::of(15.0), temperature).unwrap();
                TemperatureReading { time, temperature }
            })
            .collect();
        let log = HeatingLog { load: pot, room };
        let theory = Heater { power: Power::of(3000.0), loss: Conductance::of(5.0), ..real };
        let found = calibration::heater(&log, &readings, &theory).unwrap();
        let n = found.gain.readings;
        let gain = weighted(3000.0, watts, n);
        prop_assert!((found.gain.value.watts() / gain - 1.0).abs() < 0.01);
        let loss = weighted(5.0, loss, n);
        prop_assert!((found.loss.value.watts_per_kelvin() - loss).abs() < 0.3);
    }

    #[test]
    fn coefficient_of_shaking(truth in 1e-3..3e-2, theory in 1e-3..3e-2) {
        let kla = MassTransfer::new(truth).unwrap();
        let full = Carbonation::of(9.1);
        let readings: Vec<_> = (1..=6)
            .map(|step| {
                let time = TimeSpan::new(f64::from(step) * 0.5 / truth).unwrap();
                let content = kinetics::after(kla, Carbonation::NONE, full, time).unwrap();
                ContentReading { time, content }
            })
            .collect();
        let theory = MassTransfer::new(theory).unwrap();
        let found =
            calibration::mass_transfer(&readings, Carbonation::NONE, full, theory).unwrap();
        let expected = weighted(theory.per_second(), truth, 6);
        prop_assert!((found.value.per_second() / expected - 1.0).abs() < 1e-9);
    }

    #[test]
    fn leak_of_a_cylinder(leak in 1.0..200.0, per_keg in 0.1..0.3, per_litre in 0.003..0.01) {
        let weeks = [(6, 60.0, 7.0), (2, 80.0, 7.0), (0, 0.0, 3.0), (8, 110.0, 6.0), (0, 30.0, 5.0)];
        let readings = weeks.map(|(kegs, litres, days)| GasReading {
            kegs,
            poured: Volume::new(litres).unwrap(),
            time: TimeSpan::from_hours(24.0 * days).unwrap(),
            used: Mass::new(
                f64::from(kegs) * per_keg + litres * per_litre + days * leak / 1000.0,
            )
            .unwrap(),
        });
        let theory = GasUse {
            per_keg: Mass::of(0.185),
            per_litre: Mass::of(0.0059),
            leak: MassFlow::from_grams_per_day(5.0).unwrap(),
        };
        let found = calibration::gas_use(&readings, &theory).unwrap();
        let expected = weighted(5.0, leak, 5);
        prop_assert!((found.leak.value.grams_per_day() / expected - 1.0).abs() < 1e-6);
        let expected = weighted(0.185, per_keg, 5);
        prop_assert!((found.per_keg.value.kilograms() / expected - 1.0).abs() < 1e-6);
    }
}

#[test]
fn readings_that_disagree_widen_the_spread() {
    let spread = |noise: f64| {
        let readings = [1.0, -1.0, 1.0, -1.0, 1.0, -1.0].map(|sign| calibration::IceReading {
            theory: Mass::of(10.0),
            used: Mass::new(11.0 + sign * noise).unwrap(),
        });
        calibration::ice_factor(&readings, model::IceFactor::of(1.1))
            .unwrap()
            .spread
    };
    assert!(spread(3.0) > 1.5 * spread(0.0));
}

#[test]
fn no_reading_is_no_calibration() {
    assert!(calibration::ice_factor(&[], model::IceFactor::DRY).is_err());
    assert!(calibration::gauge_offset(&[]).is_err());
}

#[test]
fn a_theory_far_from_the_readings_widens_the_spread() {
    let readings = [10.0, 20.0, 30.0].map(|kilograms| calibration::IceReading {
        theory: Mass::of(kilograms),
        used: Mass::of(1.5 * kilograms),
    });
    let relative = |theory: f64| {
        let theory = model::IceFactor::new(theory).unwrap();
        let found = calibration::ice_factor(&readings, theory).unwrap();
        found.spread / found.value.value()
    };
    assert!(
        relative(0.9) > 1.5 * relative(1.5),
        "{} {}",
        relative(0.9),
        relative(1.5)
    );
}

#[test]
fn readings_close_to_the_air_are_left_out() {
    let log = CoolingLog {
        load: KEG,
        surroundings: Temperature::of(2.0),
        start: Temperature::of(40.0),
    };
    let readings = [(10.0, 20.0), (20.0, 8.0), (60.0, 2.5), (70.0, 1.9)].map(|(hours, celsius)| {
        TemperatureReading {
            time: TimeSpan::from_hours(hours).unwrap(),
            temperature: Temperature::of(celsius),
        }
    });
    let found = calibration::conductance(&log, &readings, Conductance::of(2.0)).unwrap();
    assert_eq!(found.readings, 2);
    assert!((found.lowest - 6.0).abs() < 1e-9 && (found.highest - 18.0).abs() < 1e-9);
}

#[test]
fn the_spread_of_a_leak_is_in_its_own_unit() {
    let reading = |kegs, litres: f64, days: f64| GasReading {
        kegs,
        poured: Volume::new(litres).unwrap(),
        time: TimeSpan::from_hours(24.0 * days).unwrap(),
        used: Mass::of(0.12),
    };
    let readings = [
        reading(1, 0.0, 0.0),
        reading(0, 1.0, 0.0),
        reading(0, 0.0, 1.0),
    ];
    let theory = GasUse {
        per_keg: Mass::of(0.1),
        per_litre: Mass::of(0.1),
        leak: MassFlow::from_grams_per_day(100.0).unwrap(),
    };
    // Keg, litre and day play the same part here, so they are as uncertain.
    let found = calibration::gas_use(&readings, &theory).unwrap();
    let per_day = found.leak.spread * 24.0;
    assert!((per_day / found.per_keg.spread - 1.0).abs() < 1e-9);
}
