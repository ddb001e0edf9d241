//! What a plan uses up, and whether there is enough of it.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::{Context, round};
use crate::plan::{Need, Step, WorkItem};
use crate::scenario::{KegTypeId, ProductId};

/// The material that stands for the dechlorinating agent.
const AGENT: &str = "ascorbate";

/// One use of a material.
type Use = (DateTime<FixedOffset>, f64);

pub(super) fn of(context: Context<'_>, items: &[WorkItem]) -> Vec<Need> {
    let mut needs = vec![ice(context, items), co2(context, items)];
    let mut uses: BTreeMap<&str, Vec<Use>> = BTreeMap::from([(AGENT, Vec::new())]);
    for item in items {
        match &item.step {
            Step::Boil { agent_g, .. } => {
                uses.entry(AGENT).or_default().push((item.start, *agent_g));
            }
            Step::Gas {
                syrup: Some(syrup),
                syrup_l_each,
                kegs,
                ..
            } => {
                let litres = syrup_l_each * f64::from(*kegs);
                let of_syrup = uses.entry(syrup.as_str()).or_default();
                of_syrup.push((item.start, litres));
            }
            _ => {}
        }
    }
    for (material, uses) in uses {
        let on_hand = on_hand(context, material);
        let unit = if material == AGENT { "g" } else { "L" };
        needs.push(need(material, unit, &uses, on_hand, |missing| {
            round(missing, 2)
        }));
    }
    needs
}

fn need(
    material: &str,
    unit: &str,
    uses: &[Use],
    on_hand: f64,
    order: impl Fn(f64) -> f64,
) -> Need {
    let mut sum = 0.0;
    let mut runs_out = None;
    for (at, amount) in uses {
        sum += amount;
        if sum > on_hand + 1e-9 && runs_out.is_none() {
            runs_out = Some(*at);
        }
    }
    Need {
        material: material.to_owned(),
        unit: unit.to_owned(),
        uses: round(sum, 2),
        on_hand,
        order: order((sum - on_hand).max(0.0)),
        runs_out,
    }
}

/// Ice is made on site, so what must be ordered is what the plan has delivered.
fn ice(context: Context<'_>, items: &[WorkItem]) -> Need {
    let (mut uses, mut order) = (0.0, 0.0);
    for item in items {
        match &item.step {
            Step::Boil {
                ice_in_kg,
                ice_bath_kg,
                ..
            } => uses += ice_in_kg + ice_bath_kg,
            Step::Ice { kg, .. } => order += kg,
            _ => {}
        }
    }
    Need {
        material: "ice".to_owned(),
        unit: "kg".to_owned(),
        uses: round(uses, 1),
        on_hand: context.scenario.stock.ice_kg.kilograms(),
        order,
        runs_out: None,
    }
}

/// CO2 is ordered by the full cylinder.
fn co2(context: Context<'_>, items: &[WorkItem]) -> Need {
    let mut uses = Vec::new();
    for item in items {
        let kg = match &item.step {
            Step::Gas {
                kegs, co2_g_each, ..
            } => f64::from(*kegs) * co2_g_each / 1000.0,
            Step::Tap {
                product,
                keg_type,
                kegs,
                ..
            } => f64::from(*kegs) * push(context, product, keg_type),
            _ => continue,
        };
        uses.push((item.start, kg));
    }
    let cylinder = context.scenario.setup.costs.co2_cylinder_kg.kilograms();
    let on_hand = context.scenario.stock.co2_kg.kilograms();
    need("co2", "kg", &uses, on_hand, |missing| {
        (missing / cylinder).ceil() * cylinder
    })
}

fn push(context: Context<'_>, product: &ProductId, keg_type: &KegTypeId) -> f64 {
    let setup = &context.scenario.setup;
    let product = setup.products.iter().position(|p| p.id == *product);
    let keg = setup.keg_types.iter().position(|k| k.id == *keg_type);
    match (product, keg) {
        (Some(product), Some(keg)) => context.recipes.push_kg(product, keg),
        _ => 0.0,
    }
}

fn on_hand(context: Context<'_>, material: &str) -> f64 {
    let stock = context.scenario.stock.materials.iter();
    stock
        .filter(|m| m.material.as_str() == material)
        .map(|m| m.amount.units())
        .sum()
}
