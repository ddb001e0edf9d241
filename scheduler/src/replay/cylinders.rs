//! Cylinders: as many are changed as there are full ones, and none before another is empty.

use super::level::Level;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::{CO2, Cylinders};

/// Kilograms that are only a rounding of the figures of items.
const ROUNDING_KG: f64 = 0.02;

/// CO2 that can be drawn: from all cylinders together, or from those that are coupled.
pub(super) fn level<'a>(walk: &'a Walk<'_>) -> Level<'a> {
    let (stock, setup) = (&walk.scenario.stock, &walk.scenario.setup);
    let Some(cylinders) = &setup.cylinders else {
        let mut level = Level::starting(stock.co2_kg.kilograms(), walk.minutes);
        for delivery in stock.deliveries.iter().filter(|d| is_co2(d)) {
            level.supply(walk.arrival(delivery.at), delivery.amount.units());
        }
        return level;
    };
    let full = setup.costs.co2_cylinder_kg;
    let standing = cylinders.standing(stock.co2_kg, full);
    let mut level = Level::starting(standing.usable_kg, walk.minutes);
    let each = full.kilograms() - cylinders.residual_kg.kilograms();
    for change in &walk.items.cylinders {
        let kg = f64::from(change.cylinders) * each;
        level.change(change.head.start, kg, change.head.id);
    }
    level
}

/// Follows the full cylinders, and what is coupled.
pub(super) fn check(walk: &Walk<'_>, coupled: &Level<'_>, found: &mut Findings) {
    let Some(cylinders) = &walk.scenario.setup.cylinders else {
        for change in &walk.items.cylinders {
            let (minute, id) = change.head.place();
            let text = "the setup says nothing of cylinders to change";
            found.add(Rule::Cylinders, minute, Some(id), text);
        }
        return;
    };
    spare(walk, cylinders, found);
    let full = walk.scenario.setup.costs.co2_cylinder_kg.kilograms();
    let each = full - cylinders.residual_kg.kilograms();
    for over in coupled.above(f64::from(cylinders.coupled) * each + ROUNDING_KG) {
        let (kg, n) = (over.worst, cylinders.coupled);
        let text = format!("{kg:.2} kg of CO2 to draw from {n} coupled cylinders");
        found.add(Rule::Cylinders, over.minute, over.item, text);
    }
    for change in &walk.items.cylinders {
        let same = (change.co2_kg_each - each).abs() <= ROUNDING_KG;
        found.require(same, Rule::Cylinders, change.head.place(), || {
            let said = change.co2_kg_each;
            format!("{said} kg said to be in a full cylinder; it gives {each:.2} kg")
        });
    }
}

fn spare(walk: &Walk<'_>, cylinders: &Cylinders, found: &mut Findings) {
    let (stock, full) = (
        &walk.scenario.stock,
        walk.scenario.setup.costs.co2_cylinder_kg,
    );
    let standing = cylinders.standing(stock.co2_kg, full);
    let mut spare = Level::starting(f64::from(standing.spare), walk.minutes);
    for delivery in stock.deliveries.iter().filter(|d| is_co2(d)) {
        let whole = (delivery.amount.units() / full.kilograms() + 1e-9).floor();
        spare.supply(walk.arrival(delivery.at), whole);
    }
    for change in &walk.items.cylinders {
        let taken = f64::from(change.cylinders);
        spare.change(change.head.start, -taken, change.head.id);
    }
    for low in spare.below(-0.5) {
        let text = format!("{:.0} full cylinders are missing", -low.worst);
        found.add(Rule::Cylinders, low.minute, low.item, text);
    }
}

fn is_co2(delivery: &crate::scenario::Delivery) -> bool {
    delivery.material.as_str() == CO2
}
