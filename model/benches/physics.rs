//! How long the functions take that a planner calls thousands of times.
//!
//! Budgets: equilibrium below 1 µs, its inverse below 20 µs, the cooling curve
//! of one keg over two days in half hours below 50 µs. Run with
//! `cargo bench -p model`.
#![allow(missing_docs, clippy::unwrap_used)] // criterion's macros, and constants

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use model::cooling::{self, Container, State, Surroundings};
use model::headspace::{self, Fill, Mixing};
use model::{
    AbsolutePressure, AirContent, AirSpeed, Carbonation, Fraction, GaugePressure, SugarContent,
    Temperature, TimeSpan, Volume, air, carbonation,
};

fn equilibrium(criterion: &mut Criterion) {
    let (at, total) = (Temperature::of(2.0), AbsolutePressure::of(3.01325));
    let (air, sugar) = (AbsolutePressure::of(0.1), SugarContent::of(5.0));
    criterion.bench_function("dissolved", |bench| {
        bench.iter(|| carbonation::dissolved(black_box(at), black_box(total), air, sugar).unwrap());
    });
    let target = Carbonation::of(8.0);
    criterion.bench_function("pressure_for", |bench| {
        bench.iter(|| {
            carbonation::pressure_for(black_box(target), black_box(at), air, sugar).unwrap()
        });
    });
}

fn air_in_water(criterion: &mut Criterion) {
    let sea_level = AbsolutePressure::STANDARD_ATMOSPHERE;
    criterion.bench_function("air saturated", |bench| {
        bench.iter(|| air::saturated(black_box(Temperature::of(90.0)), sea_level).unwrap());
    });
    let fill = Fill {
        brim: Volume::of(19.5),
        liquid: Volume::of(18.5),
        air: AirContent::of(4.75),
        temperature: Temperature::of(2.0),
        atmosphere: sea_level,
    };
    let held = GaugePressure::of(2.0);
    criterion.bench_function("purges_needed", |bench| {
        bench.iter(|| {
            let allowed = Fraction::of(0.03);
            headspace::purges_needed(black_box(&fill), held, Mixing::Prompt, held, allowed).unwrap()
        });
    });
}

fn keg_cooling(criterion: &mut Criterion) {
    let keg = Container::STEEL_KEG_19_L;
    let hot = Temperature::of(60.0);
    let half_hour = TimeSpan::of(1800.0);
    for (name, speed) in [("curve, still air", 0.0), ("curve, fan", 1.0)] {
        let store = Surroundings {
            speed: AirSpeed::new(speed).unwrap(),
            ..Surroundings::still(Temperature::of(2.0))
        };
        let mut states = [State::BLANK; 96];
        criterion.bench_function(name, |bench| {
            bench.iter(|| cooling::curve(&keg, store, black_box(hot), half_hour, &mut states));
        });
        criterion.bench_function(&name.replace("curve", "time_to"), |bench| {
            bench.iter(|| cooling::time_to(&keg, store, black_box(hot), Temperature::of(4.0)));
        });
    }
}

criterion_group!(benches, equilibrium, air_in_water, keg_cooling);
criterion_main!(benches);
