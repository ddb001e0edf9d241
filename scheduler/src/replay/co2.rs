//! CO2: what gassing takes and what pushes the drink out is in the cylinders, by weight.

use model::gas_budget::{Budget, GassedKeg};
use model::{Carbonation, Error, GaugePressure, Temperature, Volume};

use super::items::Gas;
use super::violation::{Findings, Rule};
use super::waiting::{self, Held};
use super::walk::Walk;
use super::{blanket, cylinders, temperature, uptake};
use crate::scenario::{KegType, Product};

/// Part by which the stated CO2 of a keg may differ from the computed.
const TOLERANCE: f64 = 0.05;
/// Kilograms below which a difference is a rounding.
const ROUNDING_KG: f64 = 0.001;

/// The least CO2 left, in kilograms: in all cylinders together, or in those that are coupled.
pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) -> f64 {
    let mut left = cylinders::level(walk);
    blanket::take(walk, &mut left, found);
    let held = waiting::at_gassing(walk).iter().copied();
    let gassings = walk.items.gassings.iter().zip(held);
    for ((gas, held), kegs) in gassings.zip(temperature::at_gassing(walk)) {
        let range = kegs.and_then(|kegs| taken(walk, gas, (kegs.coldest, held?)));
        let Some((least, each)) = found.known(Rule::Co2, gas.head.place(), range) else {
            continue;
        };
        let (stated, off) = (gas.co2_g_each / 1000.0, each * TOLERANCE);
        let same = stated >= least - off && stated <= each + off;
        found.require(same, Rule::Co2, gas.head.place(), || {
            format!(
                "{:.0} g stated for each keg; it takes {:.0} g",
                gas.co2_g_each,
                each * 1000.0
            )
        });
        left.change(gas.head.start, -each * f64::from(gas.kegs), gas.head.id);
    }
    for tap in &walk.items.taps {
        let at = uptake::tapped_at(walk, tap);
        let push = budget(walk, (tap.product, tap.keg), tap.serve, at);
        let push = push.map(|budget| budget.push.kilograms());
        if let Some(push) = found.known(Rule::Co2, tap.head.place(), push) {
            left.change(tap.head.start, -push * f64::from(tap.kegs), tap.head.id);
        }
    }
    for low in left.below(-ROUNDING_KG) {
        let text = format!("{:.2} kg of CO2 are missing", -low.worst);
        found.add(Rule::Co2, low.minute, low.item, text);
    }
    cylinders::check(walk, &left, found);
    left.lowest()
}

/// Least and most kilograms a keg takes: what is missing of its product's content, the headspace at
/// the regulator, and the purges, all at the temperature it has when it is coupled. While it rests
/// it cools by a kelvin or two, which makes the headspace's gas denser by less than 1 %.
fn taken(
    walk: &Walk<'_>,
    gas: &Gas<'_>,
    (at, held): (Temperature, Held),
) -> Result<(f64, f64), Error> {
    let budget = budget(walk, (gas.product, gas.keg), gas.regulator, at)?;
    let content = gas.product.carbonation_g_per_l.grams_per_litre();
    let dissolved = |before: Carbonation| {
        let missing = (content - before.grams_per_litre()).max(0.0);
        missing * gas.keg.fill_l.litres() / 1000.0
    };
    let purges = match gas.purges {
        0 => 0.0,
        _ => budget.purges.kilograms(),
    };
    let fixed = budget.headspace.kilograms() + purges;
    Ok((fixed + dissolved(held.co2.1), fixed + dissolved(held.co2.0)))
}

fn budget(
    walk: &Walk<'_>,
    (product, keg): (&Product, &KegType),
    held: GaugePressure,
    temperature: Temperature,
) -> Result<Budget, Error> {
    let policy = &walk.scenario.policy;
    model::gas_budget::keg(&GassedKeg {
        brim: Volume::new(keg.brim_l.litres())?,
        liquid: Volume::new(keg.fill_l.litres())?,
        temperature,
        held,
        purge: policy.purge_bar,
        purges: u32::from(policy.purges),
        sugar: product.sugar_brix,
        atmosphere: walk.atmosphere,
    })
}
