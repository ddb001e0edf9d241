//! Changes side by side.

use scheduler::answer::{Difference, Outcome, WhatIfAnswer};

use super::figures::paragraph;

/// An answer to a what-if question.
pub(crate) fn what_if(answer: &WhatIfAnswer) -> String {
    let mut text = "AS IT IS\n".to_owned();
    text += &paragraph(2, &outcome(&answer.base));
    for case in &answer.cases {
        text += &format!("\n{}\n", case.label);
        text += &paragraph(2, &outcome(&case.outcome));
        text += &differences(&case.difference, &case.outcome.verdict.currency);
    }
    text
}

fn outcome(outcome: &Outcome) -> String {
    let verdict = &outcome.verdict;
    format!(
        "{:.1} L served, {:.1} L short, {} kegs gassed in {} boils; costs {:.2} {c}, score {:.2} of \
         at most {:.2}.",
        verdict.served_l,
        verdict.short_l,
        verdict.kegs_gassed,
        verdict.boils,
        verdict.cost,
        verdict.worth,
        verdict.bound,
        c = verdict.currency
    )
}

fn differences(difference: &Difference, currency: &str) -> String {
    let (least, most) = difference.worth_between;
    let mut text = paragraph(
        2,
        &format!(
            "Different: {:+.1} L served, {:+.1} L short, {:+} kegs, {:+.2} {currency} of cost, \
             {:+.2} of score (between {least:+.2} and {most:+.2}, as proven).",
            difference.served_l,
            difference.short_l,
            difference.kegs_gassed,
            difference.cost,
            difference.worth
        ),
    );
    let uses = difference
        .uses
        .iter()
        .map(|(what, more)| format!("{what} {more:+.1}"));
    let work = difference
        .work
        .iter()
        .map(|(kind, more)| format!("{kind} {more:+}"));
    for (what, list) in [
        ("Work items", work.collect::<Vec<_>>()),
        ("Used up", uses.collect()),
    ] {
        if !list.is_empty() {
            text += &paragraph(2, &format!("{what}: {}.", list.join(", ")));
        }
    }
    for line in &difference.services {
        let litres = |l: Option<f64>| l.map_or("nothing".to_owned(), |l| format!("{l:.1} L"));
        let line = format!(
            "{}: {} instead of {}",
            line.demand,
            litres(line.after_l),
            litres(line.before_l)
        );
        text += &paragraph(4, &line);
    }
    text
}
