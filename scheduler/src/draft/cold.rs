//! Cold: how cold a fridge is, and what it can take beside what it has to.

use model::{AirSpeed, Temperature};

use super::answers::{Answers, ColdAnswer, FridgeKind};
use super::assumed::Notes;
use super::names;
use crate::scenario::ColdStore;
use crate::scenario::quantities::CoolingPower;

/// What is usual for a kind of fridge.
struct Usual {
    name: &'static str,
    air_c: Temperature,
    air_speed: AirSpeed,
    /// Watts to spare for each keg that fits in.
    spare_w: f64,
}

fn usual(kind: FridgeKind) -> Usual {
    let (name, air_c, air_speed, spare_w) = match kind {
        FridgeKind::UnderCounter => ("Under the counter", 3.0, AirSpeed::of(0.0), 20.0),
        FridgeKind::Upright => ("Upright fridge", 3.0, AirSpeed::of(0.5), 25.0),
        FridgeKind::WalkIn => ("Walk-in", 2.0, AirSpeed::of(1.0), 30.0),
    };
    Usual {
        name,
        air_c: Temperature::new(air_c).unwrap_or(Temperature::of(3.0)),
        air_speed,
        spare_w,
    }
}

pub(super) fn stores(answers: &Answers, notes: &mut Notes) -> Vec<ColdStore> {
    let mut taken = Vec::new();
    let stores = answers.cold.iter().enumerate();
    stores
        .map(|(n, answer)| {
            note(answer, n, notes);
            store(answer, &mut taken)
        })
        .collect()
}

fn store(answer: &ColdAnswer, taken: &mut Vec<String>) -> ColdStore {
    let usual = usual(answer.kind);
    let spare = usual.spare_w * f64::from(answer.kegs);
    ColdStore {
        id: names::id(usual.name, "fridge", taken),
        name: usual.name.to_owned(),
        places: answer.kegs,
        air_c: answer.air_c.unwrap_or(usual.air_c),
        air_speed_m_per_s: usual.air_speed,
        blanket_connections: None,
        cooling_w: CoolingPower::new(spare).unwrap_or(CoolingPower::of(100_000.0)),
    }
}

fn note(answer: &ColdAnswer, n: usize, notes: &mut Notes) {
    let field = |name: &str| format!("setup.cold_stores[{n}].{name}");
    if answer.air_c.is_none() {
        notes.usual(
            field("air_c"),
            "1 to 6 °C",
            "a thermometer in a glass of water that stood there overnight tells it",
        );
    }
    notes.usual(
        field("air_speed_m_per_s"),
        "0 to 2 m/s",
        "still air where there is no fan",
    );
    notes.usual(
        field("cooling_w"),
        "half to twice of it",
        "by kind and size; how fast a warm keg cools in it tells more",
    );
}

/// The warmest water that is gassed: a little over the coldest fridge, and 4 °C where that can be.
pub(super) fn gassed_at(stores: &[ColdStore]) -> Temperature {
    let coldest = stores.iter().map(|store| store.air_c.celsius());
    let coldest = coldest.fold(f64::INFINITY, f64::min);
    Temperature::new((coldest + 1.0).max(4.0)).unwrap_or(Temperature::of(4.0))
}
