//! A new plan: what has happened, what was moved and why, and then the plan.

use scheduler::answer::Replanned;

use super::changes::changes;
use super::figures::{counted, day_and_time, number, paragraph};

/// An answer to a replanning.
pub(crate) fn replan(answer: &Replanned) -> String {
    let mut text = String::new();
    if !answer.because.is_empty() {
        text += "WHAT IS NOT AS PLANNED\n";
        text += &answer
            .because
            .iter()
            .map(|b| paragraph(2, b))
            .collect::<String>();
        text.push('\n');
    }
    if !answer.shortfalls.is_empty() {
        text += "IF EVERYTHING STAYED\n";
        for short in &answer.shortfalls {
            let line = format!(
                "{}: {} {} short at {}",
                short.resource,
                number(short.missing),
                short.unit,
                day_and_time(short.at)
            );
            text += &paragraph(2, &line);
        }
        text.push('\n');
    }
    text += "WHAT CHANGES\n";
    text += &changes(&answer.changes, true);
    let kept = counted(answer.kept, "work item");
    text += &paragraph(
        2,
        &if answer.changes.is_empty() {
            format!("Nothing: {kept} stay as published.")
        } else {
            format!("{kept} stay as published.")
        },
    );
    if !answer.frozen_kept {
        text += &paragraph(
            2,
            "Work inside the frozen window could not stay: what has happened does not let it.",
        );
    }
    text.push('\n');
    text + &super::plan(&answer.scenario, &answer.plan)
}
