//! Materials: of those that limit the plan, no more is used than is on hand or has arrived.

use super::level::Level;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::{AGENT, Material};

/// Part of a stock that is only a rounding of the figures of items.
const ROUNDING: f64 = 0.002;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for material in &walk.scenario.setup.materials {
        let (level, all) = followed(walk, material);
        for low in level.below(-(all * ROUNDING + 0.005)) {
            let unit = material.unit.symbol();
            let text = format!("{:.2} {unit} of {} are missing", -low.worst, material.id);
            found.add(Rule::Materials, low.minute, low.item, text);
        }
    }
}

/// What is there of a material, and all that is ever there.
fn followed<'a>(walk: &'a Walk<'_>, material: &Material) -> (Level<'a>, f64) {
    let stock = &walk.scenario.stock;
    let counted = stock.materials.iter().filter(|m| m.material == material.id);
    let there: f64 = counted.map(|m| m.amount.units()).sum();
    let mut all = there;
    let mut level = Level::starting(there, walk.minutes);
    for delivery in stock
        .deliveries
        .iter()
        .filter(|d| d.material == material.id)
    {
        level.supply(walk.arrival(delivery.at), delivery.amount.units());
        all += delivery.amount.units();
    }
    if material.id.as_str() == AGENT {
        for boil in &walk.items.boils {
            level.change(boil.head.start, -boil.agent_g, boil.head.id);
        }
    }
    for gas in &walk.items.gassings {
        let (product, litres) = (gas.product, gas.keg.fill_l.litres());
        let syrup = product.syrup.iter().filter(|s| s.material == material.id);
        let syrup: f64 = syrup
            .map(|s| s.ml_per_l.millilitres_per_litre() / 1000.0)
            .sum();
        let others = product.ingredients.iter();
        let others = others.filter(|i| i.material == material.id);
        let each = litres * (syrup + others.map(|i| i.per_l.per_litre()).sum::<f64>());
        if each > 0.0 {
            level.change(gas.head.start, -each * f64::from(gas.kegs), gas.head.id);
        }
    }
    (level, all)
}
