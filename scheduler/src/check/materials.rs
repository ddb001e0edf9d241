//! Materials are listed, have the right unit, and are delivered under a known name.

use std::collections::BTreeSet;

use super::Collector;
use crate::scenario::{AGENT, CO2, MaterialId, MaterialUnit, Scenario, Setup};

pub(super) fn check(scenario: &Scenario, faults: &mut Collector) {
    let setup = &scenario.setup;
    listed(setup, faults);
    ingredients(setup, faults);
    deliveries(scenario, faults);
    cylinders(setup, faults);
}

fn listed(setup: &Setup, faults: &mut Collector) {
    faults.count("setup.materials", setup.materials.len(), 0, 200);
    let ids = setup.materials.iter().map(|x| &x.id);
    faults.unique("setup.materials", "material", ids);
    let syrups = syrups(setup);
    for (n, material) in setup.materials.iter().enumerate() {
        let field = format!("setup.materials[{n}]");
        faults.name(format!("{field}.name"), &material.name);
        if material.pack.units() <= 0.0 {
            faults.add(
                format!("{field}.pack"),
                "0 found; it is ordered in some amount",
            );
        }
        let needed = if material.id.as_str() == AGENT {
            Some(MaterialUnit::G)
        } else if syrups.contains(&material.id) {
            Some(MaterialUnit::L)
        } else {
            None
        };
        if let Some(unit) = needed.filter(|unit| *unit != material.unit) {
            let (found, wanted) = (material.unit.symbol(), unit.symbol());
            faults.add(
                format!("{field}.unit"),
                format!("{found} found; \"{}\" is measured in {wanted}", material.id),
            );
        }
        if material.id.as_str() == CO2 {
            faults.add(
                format!("{field}.id"),
                format!("\"{CO2}\" found; CO2 always limits a plan and need not be listed"),
            );
        }
    }
}

fn syrups(setup: &Setup) -> BTreeSet<&MaterialId> {
    let syrups = setup.products.iter().filter_map(|p| p.syrup.as_ref());
    syrups.map(|s| &s.material).collect()
}

fn ingredients(setup: &Setup, faults: &mut Collector) {
    let known: BTreeSet<_> = setup.materials.iter().map(|x| &x.id).collect();
    for (n, product) in setup.products.iter().enumerate() {
        let field = format!("setup.products[{n}].ingredients");
        faults.count(&field, product.ingredients.len(), 0, 20);
        for (m, ingredient) in product.ingredients.iter().enumerate() {
            let field = format!("{field}[{m}].material");
            faults.known(field, "material", &ingredient.material, &known);
        }
    }
}

fn deliveries(scenario: &Scenario, faults: &mut Collector) {
    let (setup, deliveries) = (&scenario.setup, &scenario.stock.deliveries);
    faults.count("stock.deliveries", deliveries.len(), 0, 500);
    let syrups = syrups(setup);
    for (n, delivery) in deliveries.iter().enumerate() {
        let id = &delivery.material;
        let known = [AGENT, CO2].contains(&id.as_str())
            || syrups.contains(id)
            || setup.materials.iter().any(|m| m.id == *id);
        if !known {
            faults.add(
                format!("stock.deliveries[{n}].material"),
                format!(
                    "there is no material \"{id}\"; {AGENT}, {CO2}, syrups of products and the \
                     setup's materials are allowed"
                ),
            );
        }
    }
}

fn cylinders(setup: &Setup, faults: &mut Collector) {
    let Some(cylinders) = &setup.cylinders else {
        return;
    };
    if !(1..=20).contains(&cylinders.coupled) {
        faults.add(
            "setup.cylinders.coupled",
            format!("{} found; 1 to 20 are allowed", cylinders.coupled),
        );
    }
    let full = setup.costs.co2_cylinder_kg;
    if cylinders.residual_kg >= full {
        faults.add(
            "setup.cylinders.residual_kg",
            format!(
                "{} found; less than a full cylinder's {full} is allowed",
                cylinders.residual_kg
            ),
        );
    }
}
