//! Who works when, and for how long a step keeps them busy.

use super::answers::Answers;
use super::assumed::Notes;
use crate::scenario::quantities::{Price, StepMinutes, StockMass};
use crate::scenario::{Costs, Crew, Shift, Wash};

pub(super) fn crew(answers: &Answers, notes: &mut Notes) -> Crew {
    let minutes = [
        (
            "start_boil_min",
            "8 to 20 min",
            "to fill a pot, dose it and light it",
        ),
        ("chill_min", "5 to 20 min", "to weigh ice and stir it in"),
        (
            "fill_keg_min",
            "3 to 10 min",
            "to fill one keg and put it away",
        ),
    ];
    for (name, range, why) in minutes {
        notes.usual(format!("setup.crew.{name}"), range, why);
    }
    let shifts = answers.crew.iter().map(|shift| Shift {
        days: shift.days.clone(),
        from: shift.from,
        to: shift.to,
        hands: shift.hands,
        breaks: Vec::new(),
    });
    Crew {
        shifts: shifts.collect(),
        closed: Vec::new(),
        start_boil_min: StepMinutes::of(12.0),
        chill_min: StepMinutes::of(10.0),
        fill_keg_min: StepMinutes::of(5.0),
    }
}

pub(super) fn wash(notes: &mut Notes) -> Wash {
    notes.usual(
        "setup.wash",
        "10 to 40 min a keg",
        "one keg at a time, with somebody beside it for a part of it",
    );
    Wash {
        stations: 1,
        minutes: StepMinutes::of(20.0),
        hands_min: StepMinutes::of(6.0),
    }
}

pub(super) fn costs(notes: &mut Notes) -> Costs {
    notes.usual(
        "setup.costs",
        "half to twice of each",
        "only what costs more than something else matters to a plan",
    );
    Costs {
        hands_per_h: Price::of(15.0),
        heat_per_kwh: Price::of(0.25),
        co2_per_kg: Price::of(3.0),
        ice_per_kg: Price::of(0.05),
        wash_per_keg: Price::of(0.3),
        co2_cylinder_kg: StockMass::of(10.0),
    }
}
