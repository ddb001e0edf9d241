//! The program with one line more: others served no less, or whoever yields.

use std::collections::BTreeMap;

use crate::mapping::{SodaNetwork, Work};
use crate::milp::{Column, Formulation, Relation, Row};
use crate::scenario::DemandId;

/// Price of a litre that somebody else is served less than before, far above any litre's worth.
const YIELD_PER_L: f64 = 5000.0;

/// Lets nobody be served less than before: a drop has a price that nothing outweighs. The last
/// line of demand is the new one.
pub(super) fn protect(
    (soda, form): (&SodaNetwork, &mut Formulation),
    lines: &[DemandId],
    before: &BTreeMap<DemandId, f64>,
    price: f64,
) {
    for (line, id) in lines.iter().enumerate() {
        let Some(litres) = before.get(id).filter(|litres| **litres > 0.01) else {
            continue;
        };
        let served = serving(soda, form, line);
        let drop = form.program.add_column(Column {
            name: format!("drop[{id}]").into(),
            lower: 0.0,
            upper: *litres,
            whole: false,
            objective: -price,
        });
        let mut terms: Vec<(usize, f64)> = served.into_iter().map(|c| (c, 1.0)).collect();
        terms.push((drop, 1.0));
        form.program.add_row(Row {
            name: format!("as_before[{id}]").into(),
            terms,
            relation: Relation::AtLeast,
            // What rounding takes is no drop.
            right: litres - 0.01,
        });
    }
}

/// The price of a litre taken from somebody else where nobody is to yield.
pub(super) const fn nobody_yields() -> f64 {
    YIELD_PER_L
}

/// Columns of the litres served to a line.
pub(in crate::answer) fn serving(
    soda: &SodaNetwork,
    form: &Formulation,
    line: usize,
) -> Vec<usize> {
    let mut columns = Vec::new();
    for ((id, _), work) in soda.net.tasks().zip(&soda.work) {
        if matches!(work, Work::Serve { line: l, .. } if *l == line) {
            columns.extend((0..soda.net.points()).filter_map(|t| form.size(id, t)));
        }
    }
    columns
}

/// Makes litres of a line the only thing of worth.
pub(super) fn only_litres_count(soda: &SodaNetwork, form: &mut Formulation, line: usize) {
    for column in &mut form.program.columns {
        column.objective = 0.0;
    }
    for column in serving(soda, form, line) {
        form.program.columns[column].objective = 1.0;
    }
}
