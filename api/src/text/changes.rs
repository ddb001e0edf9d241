//! Work that is not as it was.

use scheduler::answer::{Change, ChangeKind};

use super::figures::{day_and_time, number, paragraph, time_after};

/// Each change on a line, with its reasons below.
pub(super) fn changes(changes: &[Change], with_reasons: bool) -> String {
    let mut text = String::new();
    for change in changes {
        text += &paragraph(2, &told(change));
        if with_reasons {
            text += &change
                .why
                .iter()
                .map(|why| paragraph(6, why))
                .collect::<String>();
        }
    }
    text
}

/// What was done to an item, on one line.
pub(crate) fn told(change: &Change) -> String {
    let amount = |x: f64| match change.work.as_str() {
        "boil" => format!("{} L", number(x)),
        "ice" => format!("{} kg", number(x)),
        _ => format!("{} kegs", number(x)),
    };
    let sized = if (change.before - change.after).abs() > 0.05 {
        format!(
            "{} instead of {}",
            amount(change.after),
            amount(change.before)
        )
    } else {
        amount(change.after)
    };
    let item = &change.item;
    match (change.change, change.from, change.to) {
        (ChangeKind::Moved, Some(from), Some(to)) if from == to => {
            format!("{item}: done another way at {}, {sized}", day_and_time(to))
        }
        (ChangeKind::Moved, Some(from), Some(to)) => {
            format!(
                "{item}: moved from {} to {}, {sized}",
                day_and_time(from),
                time_after(to, from)
            )
        }
        (ChangeKind::Dropped, Some(from), _) => {
            format!(
                "{item}: dropped ({}, {})",
                day_and_time(from),
                amount(change.before)
            )
        }
        (ChangeKind::Added, _, Some(to)) => {
            format!(
                "{item}: added at {}, {}",
                day_and_time(to),
                amount(change.after)
            )
        }
        (_, from, to) => {
            let at = from.or(to).map_or(String::new(), day_and_time);
            format!("{item}: {sized} ({at})")
        }
    }
}
