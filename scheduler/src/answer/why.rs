//! What stops there being more: guessed from the relaxation's prices, confirmed by solving again.

use crate::decode::Context;
use crate::mapping::{SodaNetwork, Work};
use crate::milp::{Formulation, Known, Settings, Solved, Watch, solve};
use crate::plan::Reason;
use crate::search::Found;

/// How many resources are confirmed by solving again.
const CONFIRMED: usize = 3;

/// Seconds each of them may take; a reason is no reason to wait.
const PATIENCE_SECONDS: f64 = 30.0;

/// Less than this is not worth naming.
const NOTHING: f64 = 0.05;

/// Why a plan is short: the resources whose increase would let it serve more litres.
pub(super) fn shortage(
    context: Context<'_>,
    (soda, form): (&SodaNetwork, &Formulation),
    found: &Found,
    watch: Watch<'_>,
) -> Vec<Reason> {
    let litres =
        |soda: &SodaNetwork, form: &Formulation, solved: &Solved| served(soda, form, solved);
    confirm(context, (soda, form), &found.relaxed, ("L", &litres), watch)
}

/// Measures how much a solution brings, such as litres served.
pub(super) type Measure<'a> = (
    &'a str,
    &'a dyn Fn(&SodaNetwork, &Formulation, &Solved) -> f64,
);

/// Solves the relaxation again with one more of each promising resource, and keeps what helps.
pub(super) fn confirm(
    context: Context<'_>,
    (soda, form): (&SodaNetwork, &Formulation),
    relaxed: &Solved,
    (unit, measure): Measure<'_>,
    watch: Watch<'_>,
) -> Vec<Reason> {
    let before = measure(soda, form, relaxed);
    let scenario = context.scenario;
    let quiet = Watch::quiet(watch.cancel);
    let mut reasons = Vec::new();
    for limit in soda.promising(scenario, form, relaxed, CONFIRMED) {
        let mut more = soda.clone();
        more.add_one(scenario, &limit);
        let more_form = more.formulate(scenario, context.timeline);
        let settings = Settings {
            seconds: PATIENCE_SECONDS,
            ..Settings::default()
        };
        let from = relaxed.basis.as_ref().map_or(Known::Nothing, Known::Basis);
        let Ok(solved) = solve(&more_form.program.relaxed(), settings, from, quiet) else {
            continue;
        };
        let brings = measure(&more, &more_form, &solved) - before;
        if brings > NOTHING {
            reasons.push(Reason {
                resource: limit.scarce.resource(scenario),
                one_more: limit.scarce.one_more(scenario),
                brings: (brings * 10.0).round() / 10.0,
                unit: unit.to_owned(),
            });
        }
    }
    reasons.sort_by(|a, b| b.brings.total_cmp(&a.brings));
    reasons
}

/// Litres served in a solution.
fn served(soda: &SodaNetwork, form: &Formulation, solved: &Solved) -> f64 {
    let mut litres = 0.0;
    for ((id, _), work) in soda.net.tasks().zip(&soda.work) {
        if matches!(work, Work::Serve { .. }) {
            let columns = (0..soda.net.points()).filter_map(|t| form.size(id, t));
            litres += columns.map(|c| solved.values[c]).sum::<f64>();
        }
    }
    litres
}
