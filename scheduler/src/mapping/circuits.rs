//! Circuits and burners that pots share.

use super::supplies::least_levels;
use super::{Builder, Scarce, under_way};
use crate::network::{Resource, ResourceId};

/// The circuit of each pot, where it can be short of power.
pub(super) fn add(builder: &mut Builder<'_>) -> Vec<Option<ResourceId>> {
    let setup = &builder.scenario.setup;
    let mut of_pot = vec![None; setup.pots.len()];
    for (c, circuit) in setup.circuits.iter().enumerate() {
        let here = |pot: &crate::scenario::Pot| pot.circuit.as_ref() == Some(&circuit.id);
        let all: f64 = setup
            .pots
            .iter()
            .filter(|pot| here(pot))
            .map(|pot| pot.power_w.watts())
            .sum();
        // With power for all pots at once nothing is short.
        if all <= circuit.power_w.watts() {
            continue;
        }
        let mut power =
            Resource::named(format!("power of {}", circuit.id)).starting(circuit.power_w.watts());
        for (until, watts) in under_way::heating(builder.scenario, builder.timeline, &circuit.id) {
            power.supply(0, -watts);
            power.supply(until, watts);
        }
        // What heats already when the plan starts goes on, even where it is too much.
        let least = least_levels(&power, builder.steps() + 1);
        let power = if least.iter().any(|level| *level < 0.0) {
            power.at_least(least)
        } else {
            power
        };
        let power = builder.resource(power);
        builder.limit(Scarce::Circuit(c), power);
        for (of_pot, pot) in of_pot.iter_mut().zip(&setup.pots) {
            if here(pot) {
                *of_pot = Some(power);
            }
        }
    }
    of_pot
}
