//! Circuits and burners that pots share.

use super::{Builder, Scarce};
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
        let power =
            Resource::named(format!("power of {}", circuit.id)).starting(circuit.power_w.watts());
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
