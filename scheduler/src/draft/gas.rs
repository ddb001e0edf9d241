//! The gas board: how its kegs are gassed, and how many at once.

use model::{GaugePressure, kinetics};

use super::answers::{Answers, GasWay};
use super::assumed::Notes;
use super::names;
use crate::recipe::RATING_SHARE;
use crate::scenario::quantities::{Hours, StepMinutes};
use crate::scenario::{ColdStore, GasMethod, GasStation, KegType};

/// How long kegs may rest: a night and a day, one and two whole days, and what lies between.
const RESTS: [Hours; 4] = [
    Hours::of(20.0),
    Hours::of(24.0),
    Hours::of(44.0),
    Hours::of(48.0),
];

/// How a board is used where nobody said: with a regulator for each connection kegs rest, each at
/// its own pressure; with fewer, kegs that rest would all have to want the same pressure, which a
/// plan cannot promise yet, so they are shaken, one for each regulator.
pub(super) fn way(answers: &Answers) -> GasWay {
    let gas = &answers.gas;
    gas.way.unwrap_or(if gas.regulators >= gas.connections {
        GasWay::Rest
    } else {
        GasWay::Shake
    })
}

/// The highest pressure: what the board can give and every kind of keg takes.
pub(super) fn highest(answers: &Answers, kegs: &[KegType]) -> GaugePressure {
    let allowed = kegs.iter().map(|keg| keg.rating_bar.bar() * RATING_SHARE);
    let highest = allowed.fold(answers.gas.highest_bar.bar(), f64::min);
    GaugePressure::new(highest).unwrap_or(answers.gas.highest_bar)
}

pub(super) fn station(
    answers: &Answers,
    way: GasWay,
    (kegs, stores): (&[KegType], &[ColdStore]),
    notes: &mut Notes,
) -> GasStation {
    let gas = &answers.gas;
    note(answers, way, notes);
    let (method, uncouple) = match way {
        GasWay::Rest => {
            let highest_bar = highest(answers, kegs);
            let hours = RESTS.to_vec();
            (GasMethod::Rest { highest_bar, hours }, 2.0)
        }
        GasWay::Shake => {
            let kla_per_s = kinetics::SHAKEN.typical();
            (GasMethod::Shaken { kla_per_s }, 1.0)
        }
    };
    GasStation {
        id: names::known("gas-board"),
        name: "Gas board".to_owned(),
        // Each pressure that can be set serves one keg at a time: nothing else keeps kegs apart.
        connections: gas.connections.min(gas.regulators),
        keg_types: kegs.iter().map(|keg| keg.id.clone()).collect(),
        stores: stores.iter().map(|store| store.id.clone()).collect(),
        couple_min: StepMinutes::of(5.0),
        uncouple_min: StepMinutes::new(uncouple).unwrap_or(StepMinutes::of(1.0)),
        method,
    }
}

fn note(answers: &Answers, way: GasWay, notes: &mut Notes) {
    let field = |name: &str| format!("setup.gas_stations[0].{name}");
    let gas = &answers.gas;
    if gas.regulators < gas.connections {
        notes.usual(
            field("connections"),
            "",
            &format!(
                "{} of your {} connections are counted, one for each regulator: kegs that share a \
                 regulator would all get the same pressure, and a plan does not keep to that yet",
                gas.regulators, gas.connections
            ),
        );
    }
    notes.usual(field("keg_types"), "", "its couplings fit all your kegs");
    notes.usual(field("stores"), "", "kegs are gassed where they stand cold");
    notes.usual(
        field("couple_min"),
        "3 to 10 min",
        "to purge and couple one keg",
    );
    notes.usual(
        field("uncouple_min"),
        "1 to 3 min",
        "to turn down, vent and uncouple one keg",
    );
    match way {
        GasWay::Rest => notes.usual(
            field("method.hours"),
            "",
            "a night and a day, or two, so that somebody is there to turn kegs down",
        ),
        GasWay::Shake => {
            let range = kinetics::SHAKEN;
            let between = format!(
                "{} to {} 1/s",
                range.low.per_second(),
                range.high.per_second()
            );
            let path = field("method.kla_per_s");
            notes.from(range.source, (path, &between), "a keg shaken hard by hand");
        }
    }
    if gas.way.is_none() {
        notes.usual(
            field("method.kind"),
            "",
            match way {
                GasWay::Rest => "kegs rest: each connection has a regulator of its own",
                GasWay::Shake => "kegs are shaken one by one: a regulator gives one pressure",
            },
        );
    }
}
