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
        Step::Boil(boil) => {
            let how = chilling(names, boil);
            how.iter().map(|how| sentence(how)).collect()
        }
        Step::Gas(gas) => vec![turn_down(names, gas)],
        _ => Vec::new(),
    }
}

/// How a pot is chilled, to stand after a time of day; none where no ice is used.
pub(super) fn chilling(names: &Names<'_>, boil: &BoilStep) -> Option<String> {
    let cold = names.degrees(boil.chill_to_c);
    let (into, around) = (boil.ice_in_kg, boil.ice_bath_kg);
    if into > 0.0 {
        let ice = names.mass(into);
        return Some(format!("stir in {ice} of ice, which brings it to {cold}"));
    }
    (around > 0.0).then(|| {
        let ice = names.mass(around);
        format!("stand the covered pot in {ice} of ice until the water is at {cold}")
    })
}

/// The words as a sentence.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).chain(['.']).collect()
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
