//! A later visit to a work item, as sentences with numbers a person can act on.

use scheduler::plan::{BoilStep, CautionKind, GasStep, Step, WorkItem};

use super::names::Names;
use super::steps;

/// What to do, in a few words.
pub(crate) fn headline(names: &Names<'_>, item: &WorkItem) -> String {
    match &item.step {
        Step::Boil(boil) => format!("Chill \"{}\"", names.pot(&boil.pot)),
        Step::Gas(gas) => format!(
            "Turn down and vent {} of {} on \"{}\"",
            names.containers(gas.kegs, &gas.keg_type),
            names.product(&gas.product),
            names.station(&gas.station)
        ),
        other => steps::headline(names, other),
    }
}

/// How to do it, one sentence or two per line.
pub(crate) fn instructions(names: &Names<'_>, item: &WorkItem) -> Vec<String> {
    match &item.step {
        Step::Boil(boil) => vec![chill(names, boil)],
        Step::Gas(gas) => vec![turn_down(names, gas)],
        _ => Vec::new(),
    }
}

fn chill(names: &Names<'_>, boil: &BoilStep) -> String {
    let cold = names.degrees(boil.chill_to_c);
    match boil.ice_in_kg > 0.0 {
        true => format!(
            "Stir in {} of ice, which brings it to {cold}.",
            names.mass(boil.ice_in_kg)
        ),
        false => format!(
            "Stand the covered pot in {} of ice until the water is at {cold}.",
            names.mass(boil.ice_bath_kg)
        ),
    }
}

/// A gauge that is turned down does not let out what is already in the headspace.
fn turn_down(names: &Names<'_>, gas: &GasStep) -> String {
    let hold = names.pressure(gas.hold_bar);
    match gas.hold_bar < gas.regulator_bar {
        true => format!(
            "Turn the regulator down to {hold}, vent the headspace of each until the gauge shows \
             that, then take them off."
        ),
        false => format!("Take them off; they keep at {hold}."),
    }
}

/// Whether a caution of the item is about this visit too.
pub(crate) fn concerns(item: &WorkItem, kind: CautionKind) -> bool {
    match &item.step {
        Step::Gas(_) => matches!(kind, CautionKind::Pressure | CautionKind::CarbonDioxide),
        _ => matches!(kind, CautionKind::HotWater | CautionKind::Food),
    }
}
