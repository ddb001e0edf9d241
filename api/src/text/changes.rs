//! Work that is not as it was.

use scheduler::answer::{Change, ChangeKind};

use super::figures::paragraph;
use super::units::Units;

/// Each change on a line, with its reasons below.
pub(super) fn changes(changes: &[Change], with_reasons: bool) -> String {
    let mut text = String::new();
    for change in changes {
        text += &paragraph(2, &told(change, Units::METRIC));
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
pub(crate) fn told(change: &Change, units: Units) -> String {
    let amount = |x: f64| match change.work.as_str() {
        "boil" => units.litres(x).to_string(),
        "ice" => units.mass(x).to_string(),
        _ => format!("{} kegs", units.number(x)),
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
            format!(
                "{item}: done another way at {}, {sized}",
                units.day_and_time(to)
            )
        }
        (ChangeKind::Moved, Some(from), Some(to)) => {
            format!(
                "{item}: moved from {} to {}, {sized}",
                units.day_and_time(from),
                units.time_after(to, from)
            )
        }
        (ChangeKind::Dropped, Some(from), _) => {
            format!(
                "{item}: dropped ({}, {})",
                units.day_and_time(from),
                amount(change.before)
            )
        }
        (ChangeKind::Added, _, Some(to)) => {
            format!(
                "{item}: added at {}, {}",
                units.day_and_time(to),
                amount(change.after)
            )
        }
        (_, from, to) => {
            let at = from
                .or(to)
                .map_or(String::new(), |at| units.day_and_time(at));
            format!("{item}: {sized} ({at})")
        }
    }
}
