//! How many kegs can be ready, the bound that proves it, and what limits it.

use scheduler::answer::{CapacityAnswer, CapacityCurve, CurvePoint, MixPart};
use scheduler::plan::Status;
use scheduler::scenario::Scenario;

use super::figures::{counted, day_and_time, number, paragraph};
use super::limits::limit;
use super::names::Names;

/// An answer to the capacity question.
pub(crate) fn capacity(scenario: &Scenario, answer: &CapacityAnswer) -> String {
    let names = Names::of(scenario);
    let of = match &answer.product {
        Some(product) => format!(" of {}", names.product(product)),
        None => set(&names, &answer.mix),
    };
    if answer.kegs == 0 && answer.at_most > 0 {
        let site = &scenario.site.name;
        let by = day_and_time(answer.by);
        let said = format!("{site}: how many kegs{of} can be ready by {by} is not settled yet.");
        return paragraph(0, &said) + &paragraph(0, &proof(answer));
    }
    let mut text = paragraph(
        0,
        &format!(
            "{}: {}{of} ({} L) can be ready by {}, if nothing is served before. What is on hand now \
             is among them{}.",
            scenario.site.name,
            counted(answer.kegs, "keg"),
            number(answer.litres),
            day_and_time(answer.by),
            if !answer.mix.is_empty() {
                "; kegs of any size count alike"
            } else if answer.product.is_none() {
                "; kegs of any product and size count alike"
            } else {
                ""
            }
        ),
    );
    text += &paragraph(0, &proof(answer));
    if !answer.by_keg.is_empty() {
        text += "\nREADY THEN\n";
    }
    for count in &answer.by_keg {
        text += &format!(
            "  {:>4}  {} ({})\n",
            count.kegs,
            names.product(&count.product),
            names.keg(&count.keg_type)
        );
    }
    if !answer.limits.is_empty() {
        text += "\nWHAT LIMITS IT\n";
    }
    for reason in &answer.limits {
        text += &limit(reason);
    }
    text
}

/// What makes a set, after the number of kegs in sets.
fn set(names: &Names<'_>, mix: &[MixPart]) -> String {
    let part = |part: &MixPart| format!("{} {}", part.kegs, names.product(&part.product));
    let parts: Vec<String> = mix.iter().map(part).collect();
    if parts.is_empty() {
        String::new()
    } else {
        format!(" in whole sets of {}", parts.join(" + "))
    }
}

/// How many kegs at each hour: a line wherever the number changes.
pub(crate) fn curve(scenario: &Scenario, curve: &CapacityCurve) -> String {
    let names = Names::of(scenario);
    let of = curve.product.as_ref().map_or(String::new(), |product| {
        format!(" of {}", names.product(product))
    });
    let mut text = paragraph(
        0,
        &format!(
            "{}: kegs{of} that can be ready, if nothing is served before. From each time on it is \
             the number beside it, until the next.",
            scenario.site.name
        ),
    );
    text += "\n";
    let mut before: Option<&CurvePoint> = None;
    for point in &curve.points {
        let same = |b: &CurvePoint| (b.kegs, b.at_most) == (point.kegs, point.at_most);
        if !before.is_some_and(same) {
            let kegs = if point.kegs == point.at_most {
                point.kegs.to_string()
            } else {
                format!("{} to {}", point.kegs, point.at_most)
            };
            text += &format!("  {:<18} {kegs:>9}\n", day_and_time(point.at));
        }
        before = Some(point);
    }
    text + "\nWhere two numbers stand, the first has a plan and the second cannot be exceeded.\n"
}

fn proof(answer: &CapacityAnswer) -> String {
    let bound = counted(answer.at_most, "keg");
    if answer.kegs == answer.at_most {
        return format!("Proven: no plan can have more than {bound} ready by then.");
    }
    let why = match answer.status {
        Status::StoppedByTime => "the time limit came first; a longer one may settle it",
        Status::StoppedByRequest => "the search was stopped",
        Status::Optimal | Status::WithinGap | Status::GapOpen => "the search was not exhaustive",
    };
    format!("Not proven ({why}): no plan can have more than {bound} ready by then.")
}
