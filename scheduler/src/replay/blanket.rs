//! CO2 on kegs as soon as they are filled: on each of them where the site does that, with gas and a
//! connection for each until it is gassed.

use model::gas_budget::GassedKeg;
use model::{Error, GaugePressure, SugarContent, Volume};

use super::items::{Blanketed, Fill};
use super::level::Level;
use super::pressure::rated;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::ColdStore;

/// Minutes where the site says nothing (common practice, no source).
const USUAL_MIN: f64 = 2.0;
/// Bar lost in rounding.
const ROUNDING_BAR: f64 = 0.01;
/// Part by which the stated CO2 may differ from the computed.
const TOLERANCE: f64 = 0.05;

/// Minutes of hands for each keg that is filled.
pub(super) fn minutes(walk: &Walk<'_>) -> f64 {
    let policy = &walk.scenario.policy;
    if policy.blanket_bar.is_none() {
        return 0.0;
    }
    policy.blanket_min.map_or(USUAL_MIN, |min| min.minutes())
}

/// Books what the fills take out of the cylinders.
pub(super) fn take<'a>(walk: &'a Walk<'_>, left: &mut Level<'a>, found: &mut Findings) {
    let Some(bar) = walk.scenario.policy.blanket_bar else {
        return;
    };
    for fill in &walk.items.fills {
        let place = fill.head.place();
        let Some(each) = found.known(Rule::Co2, place, each(walk, fill, bar)) else {
            continue;
        };
        let stated = fill.blanket.map_or(0.0, |blanket| blanket.co2_g_each) / 1000.0;
        let same = (stated - each).abs() <= each * TOLERANCE;
        found.require(same, Rule::Co2, place, || {
            let (stated, each) = (stated * 1000.0, each * 1000.0);
            format!("{stated:.0} g stated for each keg; its purges and headspace take {each:.0} g")
        });
        left.change(fill.head.start, -each * f64::from(fill.kegs), fill.head.id);
    }
}

/// Kilograms for the purges and the headspace of a keg as cold as its store.
fn each(walk: &Walk<'_>, fill: &Fill<'_>, held: GaugePressure) -> Result<f64, Error> {
    let policy = &walk.scenario.policy;
    let budget = model::gas_budget::keg(&GassedKeg {
        brim: Volume::new(fill.keg.brim_l.litres())?,
        liquid: Volume::new(fill.keg.fill_l.litres())?,
        temperature: fill.store.air_c,
        held,
        purge: policy.purge_bar,
        purges: u32::from(policy.purges),
        sugar: SugarContent::of(0.0),
        atmosphere: walk.atmosphere,
    })?;
    Ok(budget.purges.kilograms() + budget.headspace.kilograms())
}

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    let wanted = walk.scenario.policy.blanket_bar;
    for fill in &walk.items.fills {
        let same = match (wanted, fill.blanket) {
            (Some(bar), Some(blanket)) => as_the_site_does(walk, blanket, bar),
            (None, None) => true,
            _ => false,
        };
        found.require(same, Rule::Pressure, fill.head.place(), || match wanted {
            Some(bar) => format!("its kegs are to be purged and left at {bar}"),
            None => "CO2 is put on, where kegs wait under air".to_owned(),
        });
        if let Some(blanket) = fill.blanket {
            rated(&fill.head, fill.keg, "purged", blanket.purge, found);
            rated(&fill.head, fill.keg, "kept", blanket.bar, found);
        }
    }
    if wanted.is_some() {
        for store in &walk.scenario.setup.cold_stores {
            coupled(walk, store, found);
        }
    }
}

fn as_the_site_does(walk: &Walk<'_>, blanket: Blanketed, bar: GaugePressure) -> bool {
    let policy = &walk.scenario.policy;
    let near = |a: GaugePressure, b: GaugePressure| (a.bar() - b.bar()).abs() <= ROUNDING_BAR;
    blanket.purges == policy.purges
        && near(blanket.purge, policy.purge_bar)
        && near(blanket.bar, bar)
}

/// No more kegs wait than there are connections for them, or than stood there at the start.
fn coupled(walk: &Walk<'_>, store: &ColdStore, found: &mut Findings) {
    let Some(connections) = store.blanket_connections else {
        return;
    };
    let stock = walk.scenario.stock.filled.iter();
    let standing = stock.filter(|f| f.store == store.id);
    let standing: f64 = standing.map(|f| f64::from(f.kegs)).sum();
    let mut waiting = Level::starting(standing, walk.minutes);
    for fill in walk.items.fills.iter().filter(|f| f.store.id == store.id) {
        waiting.change(fill.head.start, f64::from(fill.kegs), fill.head.id);
    }
    for gas in walk
        .items
        .gassings
        .iter()
        .filter(|g| g.store.id == store.id)
    {
        waiting.change(gas.head.start, -f64::from(gas.kegs), gas.head.id);
    }
    for over in waiting.above(f64::from(connections).max(standing) + 0.5) {
        let text = format!(
            "{:.0} kegs wait under CO2 in {}; it has {connections} connections for them",
            over.worst, store.id
        );
        found.add(Rule::Connections, over.minute, over.item, text);
    }
}
