//! The work, day by day, in the order it is done.

use std::collections::BTreeSet;

use scheduler::plan::{Plan, WorkItem};

use super::figures::{day, number, paragraph, time_after};
use super::names::Names;
use super::steps;

pub(super) fn days(names: &Names<'_>, plan: &Plan) -> String {
    let mut text = "WORK\n".to_owned();
    let mut today = None;
    let mut warned = BTreeSet::new();
    for item in &plan.work {
        let date = item.start.date_naive();
        if today != Some(date) {
            today = Some(date);
            warned.clear();
            text += &format!("\n{}\n", day(item.start));
        }
        text += &work_item(names, item);
        for caution in &item.cautions {
            // Once a day is enough to be read.
            if warned.insert(caution.text.as_str()) {
                text += &paragraph(16, &format!("! {}", caution.text));
            }
        }
    }
    if plan.work.is_empty() {
        text += "  Nothing is to be done: what is on hand serves the demand.\n";
    }
    text + "\n"
}

fn work_item(names: &Names<'_>, item: &WorkItem) -> String {
    let from = item.start.format("%H:%M");
    let when = if item.end <= item.start {
        from.to_string()
    } else if item.end.date_naive() == item.start.date_naive() {
        format!("{from}-{}", time_after(item.end, item.start))
    } else {
        format!("{from}-")
    };
    let hands = if item.hands_min > 0.0 {
        format!("; {} min of hands", number(item.hands_min))
    } else {
        String::new()
    };
    let mut text = format!(
        "  {when:<12}  {} [{}{hands}]\n",
        steps::headline(names, &item.step),
        item.id
    );
    for line in steps::instructions(names, item) {
        text += &paragraph(16, &line);
    }
    text
}
