//! Washing: a station for each keg, for as long as washing takes.

use super::begun;
use super::calendar;
use super::level::Level;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::Equipment;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    let setup = &walk.scenario.setup.wash;
    let begun = begun::in_the_wash(walk);
    let start = begun.iter().map(|(_, kegs)| kegs).sum();
    let mut taken = Level::starting(start, walk.minutes);
    for (until, kegs) in begun {
        taken.supply(until, -kegs);
    }
    let all = f64::from(setup.stations);
    let lost = calendar::lost_beside(walk, &Equipment::Washing, all, &taken);
    for wash in &walk.items.washes {
        let head = &wash.head;
        taken.hold(head.start, head.end, f64::from(wash.kegs), head.id);
        let (there, needed) = (
            head.end.saturating_sub(head.start) as f64,
            setup.minutes.minutes(),
        );
        found.require(there >= needed - 0.1, Rule::Wash, head.place(), || {
            format!("{there} min; washing a keg takes {needed} min")
        });
    }
    taken.lose(&lost);
    for over in taken.above(f64::from(setup.stations) + 0.5) {
        let text = format!(
            "{:.0} stations taken or out of service; there are {}",
            over.worst, setup.stations
        );
        found.add(Rule::Wash, over.minute, over.item, text);
    }
}
