//! Circuits: pots that heat at once take no more power than their circuit gives.

use super::begun;
use super::level::Level;
use super::violation::{Findings, Rule};
use super::walk::Walk;

/// Watts that are only a rounding.
const ROUNDING_W: f64 = 1.0;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for circuit in &walk.scenario.setup.circuits {
        let mut taken = Level::starting(0.0, walk.minutes);
        let mut before = 0.0_f64;
        for (until, watts) in begun::heating(walk, &circuit.id) {
            taken.supply(0, watts);
            taken.supply(until, -watts);
            before += watts;
        }
        let boils = walk.items.boils.iter();
        for boil in boils.filter(|b| b.pot.circuit.as_ref() == Some(&circuit.id)) {
            // The heater is on until the water has been held hot.
            let on = (boil.heating_min + boil.hold_min - 0.1).ceil().max(0.0) as usize;
            let watts = boil.pot.power_w.watts();
            taken.hold(boil.head.start, boil.head.start + on, watts, boil.head.id);
        }
        // What heats already when the plan starts goes on.
        let most = circuit.power_w.watts().max(before);
        for over in taken.above(most + ROUNDING_W) {
            let (watts, gives) = (over.worst, circuit.power_w);
            let text = format!("{watts:.0} W taken from {}; it gives {gives}", circuit.id);
            found.add(Rule::Circuit, over.minute, over.item, text);
        }
    }
}
