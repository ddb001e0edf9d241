//! Whether something more can be taken.

use scheduler::answer::{Can, CommitmentAnswer};
use scheduler::scenario::Scenario;

use super::changes::changes;
use super::figures::{counted, day_and_time, number, paragraph};
use super::names::Names;

/// An answer to a commitment question.
pub(crate) fn commitment(scenario: &Scenario, answer: &CommitmentAnswer) -> String {
    let names = Names::of(scenario);
    let what = format!(
        "{} L of {} for {}",
        number(answer.wanted_l),
        names.product(&answer.product),
        day_and_time(answer.due)
    );
    let said = match answer.can {
        Can::Yes => format!("Yes: {what} can be taken, and nobody else is served less."),
        Can::IfOthersYield => format!("{what}: only if others yield."),
        Can::No if !answer.settled() => format!(
            "Not settled yet: {what}. The search had too little time to say yes or no; give it more \
             with --time-limit."
        ),
        Can::No => format!("No: {what} cannot be had, whoever yields, as far as the search went."),
    };
    let mut text = paragraph(0, &said);
    if !answer.settled() {
        return text;
    }
    if answer.can != Can::Yes {
        text += &paragraph(0, &without_harm(answer));
    }
    text += &paragraph(
        0,
        &format!(
            "It costs {:.2} {} more in hands, heat, ice, CO2 and washing.",
            answer.costs_more, answer.currency
        ),
    );
    if !answer.touched.is_empty() {
        text += "\nWHO WOULD BE SERVED LESS\n";
    }
    for touched in &answer.touched {
        let line = format!(
            "{}: {} gets {} L instead of {} L [{}]",
            day_and_time(touched.due),
            names.product(&touched.product),
            number(touched.after_l),
            number(touched.before_l),
            touched.demand
        );
        text += &paragraph(2, &line);
    }
    let moved = u32::try_from(answer.changes.len()).unwrap_or(u32::MAX);
    text += &format!("\nWHAT CHANGES ({})\n", counted(moved, "work item"));
    text + &changes(&answer.changes, false)
}

/// What can be had with nobody else served less.
fn without_harm(answer: &CommitmentAnswer) -> String {
    let mut text = format!(
        "With nobody else served less, {} L can be had then; no plan gives more than {} L.",
        number(answer.most_l),
        number(answer.at_most_l)
    );
    text += &match (answer.earliest, answer.not_before) {
        (Some(at), Some(proven)) if at == proven => {
            format!(
                " All of it can be had by {}, and not before.",
                day_and_time(at)
            )
        }
        (Some(at), Some(proven)) => format!(
            " All of it can be had by {}; not before {} in any plan.",
            day_and_time(at),
            day_and_time(proven)
        ),
        (None, Some(proven)) => format!(
            " No time was found at which all of it can be had; before {} there is none.",
            day_and_time(proven)
        ),
        (_, None) => " All of it cannot be had at any time of the horizon.".to_owned(),
    };
    text
}
