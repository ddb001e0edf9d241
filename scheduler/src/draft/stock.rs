//! Stock: every keg stands there empty and clean, and nothing is ready.

use super::answers::Answers;
use super::assumed::Notes;
use super::{ice, names};
use crate::scenario::quantities::{MaterialAmount, StockMass};
use crate::scenario::{AGENT, Demand, EmptyKegs, KegType, MaterialStock, Setup, Stock, UnderWay};

/// CO2 that a litre takes with purges and pushing, generously, in kilograms.
const CO2_PER_L: f64 = 0.02;

pub(super) fn stock(
    answers: &Answers,
    (setup, demand): (&Setup, &[Demand]),
    notes: &mut Notes,
) -> Stock {
    notes.usual(
        "stock",
        "",
        "all kegs are empty and clean, and there is CO2 and agent for the week; count what is there",
    );
    Stock {
        empty: empty(answers, &setup.keg_types),
        filled: Vec::new(),
        ready: Vec::new(),
        on_tap: Vec::new(),
        ice_kg: ice::at_start(answers),
        co2_kg: co2(setup, demand),
        materials: vec![MaterialStock {
            material: names::known(AGENT),
            amount: MaterialAmount::of(100.0),
        }],
        deliveries: Vec::new(),
        under_way: UnderWay::default(),
    }
}

fn empty(answers: &Answers, types: &[KegType]) -> Vec<EmptyKegs> {
    let both = answers.kegs.iter().zip(types);
    both.map(|(answer, keg)| EmptyKegs {
        keg_type: keg.id.clone(),
        clean: answer
            .count
            .saturating_mul(keg.filled_together())
            .min(10_000),
        dirty: 0,
    })
    .collect()
}

/// As many full cylinders as the week takes, and one at the least.
fn co2(setup: &Setup, demand: &[Demand]) -> StockMass {
    let litres: f64 = demand.iter().map(|line| line.litres.litres()).sum();
    let cylinder = setup.costs.co2_cylinder_kg.kilograms();
    let cylinders = (litres * CO2_PER_L / cylinder).ceil().max(1.0);
    StockMass::new(cylinders * cylinder).unwrap_or(StockMass::of(10.0))
}
