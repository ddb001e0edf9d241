//! What was published of each line of demand, as rules of the new program.
//!
//! Litres are poured for one line or another at the same worth, so keeping all work is not enough:
//! a line that was published as served would lose its litres to one that was not.

use crate::answer::commitment::program::serving;
use crate::answer::problem::Problem;
use crate::milp::{Relation, Row};
use crate::plan::{Plan, Served};

/// Litres by which a line may fall behind what was published: what rounding costs.
pub(super) const ROUNDING_L: f64 = 0.1;

/// Litres that a line must be served of so that it is served as published.
pub(super) fn litres(published: &Plan, line: &Served) -> f64 {
    let mut before = published.services.iter();
    let before = before.find(|s| s.demand == line.demand);
    let promised = before.map_or(line.wanted_l, |s| {
        s.served_l + (line.wanted_l - s.wanted_l).max(0.0)
    });
    promised.min(line.wanted_l)
}

/// One rule for each line: it is served as published.
pub(super) fn rules(problem: Problem<'_>, published: &Plan) -> Vec<Row> {
    let lines = crate::decode::served(problem.context, &[]);
    let rules = lines.iter().enumerate().map(|(n, line)| {
        let columns = serving(problem.soda, problem.form, n).into_iter();
        Row {
            name: format!("promised[{}]", line.demand).into(),
            terms: columns.map(|column| (column, 1.0)).collect(),
            relation: Relation::AtLeast,
            right: (litres(published, line) - ROUNDING_L / 2.0).max(0.0),
        }
    });
    rules.filter(|rule| rule.right > 0.0).collect()
}
