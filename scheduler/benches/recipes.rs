//! All the physics a week's plan needs, for the demo site.
//!
//! Budget: below 5 ms. Run with `cargo bench --workspace`.
#![allow(missing_docs, clippy::unwrap_used)] // criterion's macros, and a sample that is known to work

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use scheduler::recipe::Recipes;
use scheduler::sample;

fn week(criterion: &mut Criterion) {
    let scenario = sample::fixed();
    criterion.bench_function("physics of a week", |bench| {
        bench.iter(|| Recipes::of(black_box(&scenario)).unwrap());
    });
}

criterion_group!(benches, week);
criterion_main!(benches);
