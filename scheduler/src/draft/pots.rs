//! Pots: what heats them, how well, and what they weigh.

use super::answers::{Answers, PotAnswer, RatedPower};
use super::assumed::Notes;
use super::names;
use crate::scenario::Pot;
use crate::scenario::quantities::{Efficiency, HeaterPower, PotVolume, VesselMass};

/// What a ring of a kitchen's stove burns.
const RING: HeaterPower = HeaterPower::of(4000.0);

/// Steel of a pot by what it holds, in kilograms per litre.
const STEEL: f64 = 0.15;

/// The least it is heated with, as part of what it holds.
const SMALLEST: f64 = 0.25;

pub(super) fn pots(answers: &Answers, notes: &mut Notes) -> Vec<Pot> {
    let mut taken = Vec::new();
    let mut pots = Vec::new();
    for answer in &answers.pots {
        for _ in 0..answer.count {
            let pot = pot(answer, &mut taken);
            note(answer, pots.len(), notes);
            pots.push(pot);
        }
    }
    if pots.len() > 1 {
        notes.usual(
            "setup.circuits",
            "",
            "each pot has a circuit or burner of its own, and all may heat at once",
        );
    }
    pots
}

fn pot(answer: &PotAnswer, taken: &mut Vec<String>) -> Pot {
    let litres = answer.litres.litres();
    let (power_w, efficiency, on) = match answer.kw {
        Some(kw) => (watts(kw), Efficiency::of(0.85), "pot"),
        None => (RING, Efficiency::of(0.45), "pot on a gas ring"),
    };
    let name = format!("{litres:.0} L {on}");
    Pot {
        id: names::id(&name, "pot", taken),
        name,
        volume_l: answer.litres,
        smallest_fill_l: PotVolume::new(litres * SMALLEST).unwrap_or(PotVolume::of(2.0)),
        power_w,
        efficiency,
        empty_kg: VesselMass::new(litres * STEEL).unwrap_or(VesselMass::of(100.0)),
        circuit: None,
    }
}

/// In range whatever it is: the ranges of both are the same.
fn watts(kw: RatedPower) -> HeaterPower {
    HeaterPower::new(kw.kilowatts() * 1000.0).unwrap_or(RING)
}

fn note(answer: &PotAnswer, n: usize, notes: &mut Notes) {
    let field = |name: &str| format!("setup.pots[{n}].{name}");
    if answer.kw.is_none() {
        notes.usual(field("power_w"), "2 to 6 kW", "a ring of a kitchen's stove");
    }
    let (range, why) = match answer.kw {
        Some(_) => (
            "0.75 to 0.95",
            "an element in the water or a hot plate, with a lid on",
        ),
        None => ("0.3 to 0.6", "a flame under a pot, with a lid on"),
    };
    notes.usual(field("efficiency"), range, why);
    notes.usual(
        field("smallest_fill_l"),
        "a tenth to half of what it holds",
        "less does not cover the element, or boils dry",
    );
    notes.usual(
        field("empty_kg"),
        "0.1 to 0.2 kg/L",
        "a steel pot; put it on a scale",
    );
}
