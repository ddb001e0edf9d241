//! How sure a plan is.

use scheduler::answer::{ConfidenceAnswer, ServiceChance};
use scheduler::scenario::Scenario;

use super::figures::{day_and_time, number, paragraph};
use super::measure;
use super::names::Names;

/// A chance below this is worth a line about what decides it.
const SURE: f64 = 0.995;

/// An answer to how sure a plan is.
pub(crate) fn confidence(scenario: &Scenario, answer: &ConfidenceAnswer) -> String {
    let names = Names::of(scenario);
    let mut text = paragraph(
        0,
        &format!(
            "{}: replayed {} times with everything varied, {:.1} of {} services are met on average.",
            scenario.site.name,
            answer.replays,
            answer.services_met,
            answer.services.len()
        ),
    );
    text += "\nSERVICES\n";
    for service in &answer.services {
        text += &chance(&names, service);
    }
    if !answer.measure.is_empty() {
        text += "\nMEASURE THESE FIRST\n";
        text += &measure::lines(&answer.measure);
    }
    if !answer.slack.is_empty() {
        text += "\nWHAT WOULD MAKE IT SURER, THE BEST FOR ITS MONEY FIRST\n";
    }
    for slack in &answer.slack {
        let line = format!(
            "{}: {:.2} services more are met on average (± {:.2}), for {:.2} {}",
            slack.what,
            slack.services_more,
            2.0 * slack.standard_error,
            slack.cost,
            scenario.site.currency
        );
        text += &paragraph(2, &line);
    }
    text
}

fn chance(names: &Names<'_>, service: &ServiceChance) -> String {
    let mut text = paragraph(
        2,
        &format!(
            "{}: {}, met in {:.1} % (± {:.1}) [{}]",
            day_and_time(service.due),
            names.product(&service.product),
            service.chance * 100.0,
            service.standard_error * 200.0,
            service.demand
        ),
    );
    if service.chance >= SURE {
        return text;
    }
    if service.missed_in_time > 0.0 {
        let line = format!(
            "in {:.1} % more is wanted than was made; {} L are missing on average",
            service.missed_in_time * 100.0,
            number(service.missing_l)
        );
        text += &paragraph(6, &line);
    }
    for deciding in &service.decided_by {
        let line = format!(
            "{} is late in {:.1} %; it is then missed {:.0} % more often",
            deciding.item,
            deciding.late * 100.0,
            deciding.missed_more * 100.0
        );
        text += &paragraph(6, &line);
    }
    text
}
