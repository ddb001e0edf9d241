//! What a plan uses up, and whether there is enough of it.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::{Context, round};
use crate::plan::{BoilStep, GasStep, IceStep, Need, Step, WorkItem};
use crate::scenario::{AGENT, CO2};

/// Part of a stock that is only a rounding of the items' figures.
const ROUNDING: f64 = 1e-3;

/// One use or delivery of a material.
type Use = (DateTime<FixedOffset>, f64);

pub(super) fn of(context: Context<'_>, items: &[WorkItem]) -> Vec<Need> {
    let mut needs = vec![ice(context, items), co2(context, items)];
    let mut uses: BTreeMap<&str, Vec<Use>> = BTreeMap::from([(AGENT, Vec::new())]);
    for item in items {
        match &item.step {
            Step::Boil(BoilStep { agent_g, .. }) => {
                uses.entry(AGENT).or_default().push((item.start, *agent_g));
            }
            Step::Gas(GasStep {
                syrup,
                syrup_l_each,
                ingredients,
                kegs,
                ..
            }) => {
                let syrup = syrup.iter().map(|id| (id, *syrup_l_each));
                let others = ingredients.iter().map(|d| (&d.material, d.amount_each));
                for (material, each) in syrup.chain(others) {
                    let of_it = uses.entry(material.as_str()).or_default();
                    of_it.push((item.start, each * f64::from(*kegs)));
                }
            }
            _ => {}
        }
    }
    for (material, uses) in uses {
        let mut listed = context.scenario.setup.materials.iter();
        let listed = listed.find(|m| m.id.as_str() == material);
        let unit = match listed {
            Some(listed) => listed.unit.symbol(),
            None if material == AGENT => "g",
            None => "L",
        };
        let there = Supply {
            on_hand: on_hand(context, material),
            arrivals: arrivals(context, material),
        };
        needs.push(need(material, unit, &uses, there, |missing| {
            round(missing, 2)
        }));
    }
    needs
}

/// What there is of a material, and what comes.
struct Supply {
    on_hand: f64,
    arrivals: Vec<Use>,
}

fn need(
    material: &str,
    unit: &str,
    uses: &[Use],
    supply: Supply,
    order: impl Fn(f64) -> f64,
) -> Need {
    let Supply { on_hand, arrivals } = supply;
    let mut sum = 0.0;
    let mut runs_out = None;
    for (at, amount) in uses {
        sum += amount;
        let arrived = arrivals.iter().filter(|(then, _)| then <= at);
        let there = on_hand + arrived.map(|(_, amount)| amount).sum::<f64>();
        if sum > there * (1.0 + ROUNDING) + 1e-9 && runs_out.is_none() {
            runs_out = Some(*at);
        }
    }
    let arrives: f64 = arrivals.iter().map(|(_, amount)| amount).sum();
    let missing = sum - (on_hand + arrives) * (1.0 + ROUNDING);
    Need {
        material: material.to_owned(),
        unit: unit.to_owned(),
        uses: round(sum, 2),
        on_hand,
        arrives,
        order: order(missing.max(0.0)),
        runs_out,
    }
}

/// Ice is made on site, so what must be ordered is what the plan has delivered.
fn ice(context: Context<'_>, items: &[WorkItem]) -> Need {
    let (mut uses, mut order) = (0.0, 0.0);
    for item in items {
        match &item.step {
            Step::Boil(BoilStep {
                ice_in_kg,
                ice_bath_kg,
                ..
            }) => uses += ice_in_kg + ice_bath_kg,
            Step::Ice(IceStep { kg, .. }) => order += kg,
            _ => {}
        }
    }
    Need {
        material: "ice".to_owned(),
        unit: "kg".to_owned(),
        uses: round(uses, 1),
        on_hand: context.scenario.stock.ice_kg.kilograms(),
        arrives: 0.0,
        order,
        runs_out: None,
    }
}

/// CO2 is ordered by the full cylinder.
fn co2(context: Context<'_>, items: &[WorkItem]) -> Need {
    let mut uses = Vec::new();
    for item in items {
        let kg = match &item.step {
            Step::Gas(GasStep {
                kegs, co2_g_each, ..
            }) => f64::from(*kegs) * co2_g_each / 1000.0,
            Step::Fill(fill) => fill.co2_kg(),
            Step::Tap(tap) => context.push_kg(tap),
            _ => continue,
        };
        uses.push((item.start, kg));
    }
    let cylinder = context.scenario.setup.costs.co2_cylinder_kg.kilograms();
    let on_hand = context.scenario.stock.co2_kg.kilograms();
    let there = Supply {
        on_hand,
        arrivals: arrivals(context, CO2),
    };
    need(CO2, "kg", &uses, there, |missing| {
        (missing / cylinder).ceil() * cylinder
    })
}

fn on_hand(context: Context<'_>, material: &str) -> f64 {
    let stock = context.scenario.stock.materials.iter();
    stock
        .filter(|m| m.material.as_str() == material)
        .map(|m| m.amount.units())
        .sum()
}

/// Deliveries of a material while the plan lasts.
fn arrivals(context: Context<'_>, material: &str) -> Vec<Use> {
    let deliveries = context.scenario.stock.deliveries.iter();
    deliveries
        .filter(|d| d.material.as_str() == material)
        .map(|d| (context.timeline.stamp(d.at.to_utc()), d.amount.units()))
        .filter(|(at, _)| at.to_utc() <= context.timeline.end())
        .collect()
}
