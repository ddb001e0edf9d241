//! Fits to made-up readings with made-up noise, which Python fits in its own way.
//!
//! A sheet holds the equations of all fits, one reading a row: the fit's number, the parameter
//! asked for, theory, the inputs and the reading, and as the model's value the estimate. A second
//! sheet holds the spread.

use model::calibration::{
    self, AirReading, ContentReading, CoolingLog, DoseReading, GasReading, GasUse, HeatingLog,
    IceReading, PurgeReading, TemperatureReading,
};
use model::headspace::Purging;
use model::heating::Heater;
use model::{
    AirContent, Carbonation, Conductance, Factor, Fraction, GaugePressure, IceFactor, Load, Mass,
    MassFlow, MassTransfer, Power, Temperature, TimeSpan, Volume,
};

use super::{bar, celsius};
use crate::sheet::Sheet;

/// Kind of fit (see `checks/calibration.py`), which parameter, its theory, how many readings, and
/// up to six readings of four numbers each; unused ones are 0.
const COLUMNS: &[&str] = &[
    "kind",
    "parameter",
    "theory_0",
    "theory_1",
    "theory_2",
    "readings",
    "a0",
    "b0",
    "c0",
    "d0",
    "a1",
    "b1",
    "c1",
    "d1",
    "a2",
    "b2",
    "c2",
    "d2",
    "a3",
    "b3",
    "c3",
    "d3",
    "a4",
    "b4",
    "c4",
    "d4",
    "a5",
    "b5",
    "c5",
    "d5",
];

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut fits = Fits {
        value: Sheet::new("calibrated_value", COLUMNS),
        spread: Sheet::new("calibrated_spread", COLUMNS),
    };
    for round in 0..8_u8 {
        let noise = Noise(u32::from(round) * 7919 + 1);
        factors(&mut fits, noise);
        offsets(&mut fits, noise);
        cooling(&mut fits, noise);
        uptake(&mut fits, noise);
        purging(&mut fits, noise);
        heater(&mut fits, noise);
        gas(&mut fits, noise);
    }
    vec![fits.value, fits.spread]
}

struct Fits {
    value: Sheet,
    spread: Sheet,
}

impl Fits {
    /// One fitted parameter: kind, number, theory, readings, and what the model found.
    fn add(&mut self, kind: u8, parameter: u8, theory: &[f64], rows: &[[f64; 4]], found: [f64; 2]) {
        let mut inputs = vec![0.0; COLUMNS.len()];
        inputs[0] = f64::from(kind);
        inputs[1] = f64::from(parameter);
        inputs[2..2 + theory.len()].copy_from_slice(theory);
        inputs[5] = rows.len() as f64;
        for (place, number) in inputs[6..].iter_mut().zip(rows.iter().flatten()) {
            *place = *number;
        }
        self.value.add(&inputs, found[0]);
        self.spread.add(&inputs, found[1]);
    }
}

/// Numbers between -1 and 1 that are the same on every machine.
#[derive(Clone, Copy)]
struct Noise(u32);

impl Noise {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(self.0 >> 8) / f64::from(1_u32 << 23) - 1.0
    }
}

/// Kind 0: a factor through the origin, of ice, air and ascorbate.
fn factors(fits: &mut Fits, mut noise: Noise) {
    let rows: Vec<[f64; 4]> = [4.0, 7.0, 9.0, 12.0, 20.0]
        .map(|x| [x, x * (1.15 + 0.1 * noise.next()), 0.0, 0.0])
        .to_vec();
    let ice: Vec<_> = rows
        .iter()
        .map(|row| IceReading {
            theory: Mass::new(row[0]).unwrap(),
            used: Mass::new(row[1]).unwrap(),
        })
        .collect();
    let found = calibration::ice_factor(&ice, IceFactor::of(1.1)).unwrap();
    fits.add(
        0,
        0,
        &[1.1, 0.1],
        &rows,
        [found.value.value(), found.spread],
    );
    let air: Vec<_> = rows
        .iter()
        .map(|row| AirReading {
            modelled: AirContent::new(row[0]).unwrap(),
            measured: AirContent::new(row[1]).unwrap(),
        })
        .collect();
    let found = calibration::air_factor(&air, Factor::THEORY).unwrap();
    fits.add(
        0,
        0,
        &[1.0, 0.5],
        &rows,
        [found.value.value(), found.spread],
    );
    let doses: Vec<_> = rows
        .iter()
        .map(|row| DoseReading {
            theory: Mass::new(row[0]).unwrap(),
            used: Mass::new(row[1]).unwrap(),
        })
        .collect();
    let found = calibration::dose_factor(&doses, Factor::THEORY).unwrap();
    // The model counts in grams, which the factor does not notice.
    fits.add(
        0,
        0,
        &[1.0, 0.2],
        &rows,
        [found.value.value(), found.spread],
    );
}

/// Kind 1: an offset, of a gauge and a thermometer; theory's scatter is absolute.
fn offsets(fits: &mut Fits, mut noise: Noise) {
    let rows: Vec<[f64; 4]> = [0.5, 1.0, 2.0, 3.0]
        .map(|x| [x, x + 0.15 + 0.05 * noise.next(), 0.0, 0.0])
        .to_vec();
    let gauge = |value: f64| GaugePressure::new(value).unwrap();
    let pairs: Vec<_> = rows.iter().map(|r| (gauge(r[1]), gauge(r[0]))).collect();
    let found = calibration::gauge_offset(&pairs).unwrap();
    fits.add(1, 0, &[0.0, 0.1], &rows, [found.value.bar(), found.spread]);
    let pairs: Vec<(Temperature, Temperature)> = rows
        .iter()
        .map(|r| (celsius(r[1]), celsius(r[0])))
        .collect();
    let found = calibration::thermometer_offset(&pairs).unwrap();
    fits.add(
        1,
        0,
        &[0.0, 0.5],
        &rows,
        [found.value.kelvins(), found.spread],
    );
}

/// Kind 2: the slope of the logarithm of a cooling.
fn cooling(fits: &mut Fits, mut noise: Noise) {
    let load = Load {
        liquid: Volume::of(18.5),
        steel: Mass::of(4.2),
    };
    let rows: Vec<[f64; 4]> = [4.0, 8.0, 16.0, 24.0]
        .map(|hours: f64| {
            let left = (-1.9 * hours * 3600.0 / 79_500.0).exp();
            [
                hours,
                2.0 + 38.0 * left * (1.0 + 0.03 * noise.next()),
                40.0,
                2.0,
            ]
        })
        .to_vec();
    let log = CoolingLog {
        load,
        surroundings: celsius(2.0),
        start: celsius(40.0),
    };
    let readings: Vec<_> = rows
        .iter()
        .map(|r| temperature_at(r[0] * 3600.0, r[1]))
        .collect();
    let found = calibration::conductance(&log, &readings, Conductance::of(2.2)).unwrap();
    let pair = [found.value.watts_per_kelvin(), found.spread];
    fits.add(2, 0, &[2.2, 0.5], &rows, pair);
}

/// Kind 3: the slope of the logarithm of an uptake.
fn uptake(fits: &mut Fits, mut noise: Noise) {
    let rows: Vec<[f64; 4]> = [60.0, 120.0, 240.0, 400.0]
        .map(|seconds: f64| {
            let left = (-0.006 * seconds).exp();
            [
                seconds,
                9.1 * (1.0 - left * (1.0 + 0.05 * noise.next())),
                0.0,
                9.1,
            ]
        })
        .to_vec();
    let readings: Vec<_> = rows
        .iter()
        .map(|r| ContentReading {
            time: TimeSpan::new(r[0]).unwrap(),
            content: Carbonation::new(r[1]).unwrap(),
        })
        .collect();
    let full = Carbonation::of(9.1);
    let theory = MassTransfer::of(0.004);
    let found = calibration::mass_transfer(&readings, Carbonation::NONE, full, theory).unwrap();
    fits.add(
        3,
        0,
        &[0.004, 1.0],
        &rows,
        [found.value.per_second(), found.spread],
    );
}

/// Kind 4: what purges are worth.
fn purging(fits: &mut Fits, mut noise: Noise) {
    let rows: Vec<[f64; 4]> = [1_u8, 2, 3, 5]
        .map(|count| {
            let left = (1.01325_f64 / 3.01325).powf(0.8 * f64::from(count));
            [
                f64::from(count),
                left * (1.0 + 0.1 * noise.next()),
                1.01325,
                2.0,
            ]
        })
        .to_vec();
    let readings: Vec<_> = rows
        .iter()
        .map(|r| PurgeReading {
            purging: Purging::prompt(r[0] as u32, GaugePressure::of(2.0)),
            air_left: Fraction::new(r[1]).unwrap(),
        })
        .collect();
    let found = calibration::purges(&readings, bar(1.01325), Fraction::of(0.9)).unwrap();
    fits.add(
        4,
        0,
        &[0.9, 0.3],
        &rows,
        [found.value.value(), found.spread],
    );
}

fn temperature_at(seconds: f64, t: f64) -> TemperatureReading {
    TemperatureReading {
        time: TimeSpan::new(seconds).unwrap(),
        temperature: celsius(t),
    }
}

/// Kind 5: gain and loss of a pot of 30 L and 6 kg of steel in a room of 20 °C.
fn heater(fits: &mut Fits, mut noise: Noise) {
    let rows: Vec<[f64; 4]> = [
        (0.0, 15.0),
        (12.0, 32.0),
        (24.0, 48.0),
        (36.0, 63.0),
        (48.0, 77.0),
    ]
    .map(|(minutes, t)| [minutes, t + 0.4 * noise.next(), 0.0, 0.0])
    .to_vec();
    let log = HeatingLog {
        load: Load {
            liquid: Volume::of(30.0),
            steel: Mass::of(6.0),
        },
        room: celsius(20.0),
    };
    let readings: Vec<_> = rows
        .iter()
        .map(|r| temperature_at(r[0] * 60.0, r[1]))
        .collect();
    let theory = Heater {
        power: Power::of(3500.0),
        efficiency: Fraction::of(0.9),
        loss: Conductance::of(6.0),
        room: celsius(20.0),
    };
    let found = calibration::heater(&log, &readings, &theory).unwrap();
    let gain = [found.gain.value.watts(), found.gain.spread];
    let loss = [found.loss.value.watts_per_kelvin(), found.loss.spread];
    fits.add(5, 0, &[3150.0, 6.0, 0.3], &rows, gain);
    fits.add(5, 1, &[3150.0, 6.0, 0.3], &rows, loss);
}

/// Kind 6: gas per keg and litre, and the leak.
fn gas(fits: &mut Fits, mut noise: Noise) {
    let weeks: [(u32, f64, f64); 6] = [
        (6, 60.0, 7.0),
        (2, 80.0, 7.0),
        (0, 0.0, 3.0),
        (8, 110.0, 6.0),
        (0, 30.0, 5.0),
        (4, 20.0, 4.0),
    ];
    let rows: Vec<[f64; 4]> = weeks
        .map(|(kegs, litres, days)| {
            let used = f64::from(kegs) * 0.19 + litres * 0.006 + days * 0.03;
            [
                f64::from(kegs),
                litres,
                days,
                used * (1.0 + 0.05 * noise.next()),
            ]
        })
        .to_vec();
    let readings: Vec<_> = rows
        .iter()
        .map(|r| GasReading {
            kegs: r[0] as u32,
            poured: Volume::new(r[1]).unwrap(),
            time: TimeSpan::from_hours(24.0 * r[2]).unwrap(),
            used: Mass::new(r[3]).unwrap(),
        })
        .collect();
    let theory = GasUse {
        per_keg: Mass::of(0.185),
        per_litre: Mass::of(0.0059),
        leak: MassFlow::from_grams_per_day(20.0).unwrap(),
    };
    let found = calibration::gas_use(&readings, &theory).unwrap();
    let numbers = [0.185, 0.0059, 0.02];
    let keg = [found.per_keg.value.kilograms(), found.per_keg.spread];
    let litre = [found.per_litre.value.kilograms(), found.per_litre.spread];
    let per_day = 24.0; // the model counts leaks in kg/h
    let leak = [
        found.leak.value.kilograms_per_hour() * per_day,
        found.leak.spread * per_day,
    ];
    for (parameter, pair) in [(0, keg), (1, litre), (2, leak)] {
        fits.add(6, parameter, &numbers, &rows, pair);
    }
}
