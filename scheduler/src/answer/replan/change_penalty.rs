//! What it costs to move work: a small price, so that a change must pay for itself.

use super::published::{Published, PublishedStart};
use crate::mapping::{SodaNetwork, Work};
use crate::milp::{Column, Formulation, Relation, Row};
use crate::network::Count;
use crate::scenario::Scenario;

/// Price of a start that is dropped or added, such as a keg filled at another time: two minutes of
/// somebody's attention, to be told of it (common practice, no source). Work that is moved is
/// dropped in one place and added in another.
pub(super) fn of_a_change(scenario: &Scenario) -> f64 {
    (scenario.setup.costs.hands_per_h.amount() * 2.0 / 60.0).max(0.05)
}

/// Part of that price for what nobody has to prepare: kegs that come back or are thrown out.
const MINOR: f64 = 0.1;

/// Puts the price of changes into the program. Its worth is then that of the plan, less the price
/// of every change, plus the constant that is returned.
pub(in crate::answer) fn add(
    scenario: &Scenario,
    soda: &SodaNetwork,
    form: &mut Formulation,
    published: &Published,
) -> f64 {
    let price = of_a_change(scenario);
    let mut constant = 0.0;
    let tasks: Vec<_> = soda
        .net
        .tasks()
        .map(|(id, task)| (id, task.count))
        .collect();
    for ((id, count), work) in tasks.into_iter().zip(&soda.work) {
        if count != Count::Whole {
            continue;
        }
        let price = price * weight(*work);
        for t in 0..soda.net.points() {
            let Some(column) = form.starts(id, t) else {
                continue;
            };
            form.program.columns[column].objective -= price;
            if let Some(kept) = published.get(&(id, t)) {
                constant += price * f64::from(kept.count);
                keep(form, column, kept, price);
            }
        }
    }
    constant
}

/// Starts up to the published count are no change: they earn back their price, and the price of
/// dropping them.
fn keep(form: &mut Formulation, starts: usize, kept: &PublishedStart, price: f64) {
    let name = form.program.columns[starts].name.clone();
    let column = form.program.add_column(Column {
        name: format!("kept {name}").into(),
        lower: 0.0,
        upper: f64::from(kept.count),
        whole: false,
        objective: 2.0 * price,
    });
    form.program.add_row(Row {
        name: format!("kept[{name}]").into(),
        terms: vec![(column, 1.0), (starts, -1.0)],
        relation: Relation::AtMost,
        right: 0.0,
    });
}

fn weight(work: Work) -> f64 {
    match work {
        Work::Return { .. } | Work::Discard { .. } => MINOR,
        _ => 1.0,
    }
}
