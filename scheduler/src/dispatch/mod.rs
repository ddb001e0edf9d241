//! Plans by rules of thumb: what a crew would do that always does the next useful thing.
//!
//! The crew walks through the horizon once. At every step it fills, gasses, boils and washes what
//! it can, in an order and with preferences that are its rules. Many rules are tried. The best
//! outcome is a plan the search can start from; where it reaches what kegs and places allow at
//! all ([`ceiling`]), it is proven best without a search.

mod ceiling;
mod crew;
mod inventory_profile;
mod list_scheduling;
mod rules;

pub(crate) use ceiling::ceiling;
use inventory_profile::Start;

use fastrand::Rng;

use crate::mapping::SodaNetwork;
use crate::milp::{Formulation, Watch};
use crate::network::ResourceId;
use crew::Crew;
use rules::Rule;

/// How many rules are tried; counts and not times, so that every machine finds the same.
const TRIES: usize = 128;

/// How many changes by chance are tried on the best of them.
const CHANGES: usize = 200;

/// What a crew made by its rules.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Outcome {
    /// What it started.
    starts: Vec<Start>,
    /// Kegs that stand at the last point, by resource.
    pub kegs: Vec<(ResourceId, f64)>,
    /// Kegs that stand cold at the last point and only wait to be gassed.
    nearly: f64,
    /// Levels by resource and point.
    levels: Vec<Vec<f64>>,
}

impl Outcome {
    /// All kegs that count.
    #[must_use]
    pub(crate) fn count(&self) -> f64 {
        self.kegs.iter().map(|(_, kegs)| kegs).sum()
    }

    /// What makes one outcome better than another: kegs that count, then kegs that nearly do.
    fn rank(&self) -> f64 {
        self.count() + 0.01 * self.nearly
    }

    /// Kegs that stand at the last point in one of the resources asked for.
    #[must_use]
    pub(crate) fn level(&self, id: ResourceId) -> f64 {
        let own = self.kegs.iter().filter(|(other, _)| *other == id);
        own.map(|(_, kegs)| kegs).sum()
    }

    /// Levels of a resource, by point.
    #[must_use]
    pub(crate) fn levels(&self, id: ResourceId) -> &[f64] {
        &self.levels[id.0]
    }

    /// The outcome as values of a program's columns.
    #[must_use]
    pub(crate) fn values(&self, soda: &SodaNetwork, form: &Formulation) -> Vec<f64> {
        let mut values = vec![0.0; form.program.columns.len()];
        for start in &self.starts {
            if let Some(column) = form.starts(start.task, start.point) {
                values[column] += start.count;
            }
            if let Some(column) = form.size(start.task, start.point) {
                values[column] += start.size;
            }
        }
        for ((id, _), levels) in soda.net.resources().zip(&self.levels) {
            for level in form.levels(id) {
                if let Some(column) = level.column {
                    values[column] = levels[level.point];
                }
            }
            for level in form.levels(id) {
                if let Some(column) = level.spilled {
                    let row = &form.program.rows[level.row];
                    let sum: f64 = row.terms.iter().map(|(c, x)| x * values[*c]).sum();
                    values[column] = (row.right - sum).max(0.0);
                }
            }
        }
        values
    }
}

/// Makes as many kegs as rules of thumb can, and stops when `enough` is reached or somebody asks to.
/// None where no rules keep to all bounds.
#[must_use]
pub(crate) fn most_ready(
    soda: &SodaNetwork,
    counted: &[ResourceId],
    enough: f64,
    watch: Watch<'_>,
) -> Option<Outcome> {
    let crew = Crew::of(soda);
    let points = soda.net.points();
    let mut best: Option<(Vec<Rule>, Outcome)> = None;
    let done = |best: &Option<(Vec<Rule>, Outcome)>| {
        let good = |(_, outcome): &(_, Outcome)| outcome.count() >= enough - 1e-6;
        watch.cancelled() || best.as_ref().is_some_and(good)
    };
    let all = Rule::all(crew.routes());
    let stride = all.len().div_ceil(TRIES).max(1);
    for rule in all.into_iter().step_by(stride) {
        keep_better(&mut best, &crew, vec![rule; points], counted);
        if done(&best) {
            break;
        }
    }
    // Then the best rules change by chance at a few steps, and a change stays if it does no harm.
    let mut chance = Rng::with_seed(1);
    for _ in 0..CHANGES {
        let Some((rules, _)) = best.as_ref().filter(|_| !done(&best)) else {
            break;
        };
        let mut rules = rules.clone();
        for _ in 0..chance.usize(1..4) {
            let from = chance.usize(0..points);
            let until = (from + chance.usize(1..6)).min(points);
            let rule = rules[from].changed(crew.routes(), &mut chance);
            rules[from..until].fill(rule);
        }
        keep_better(&mut best, &crew, rules, counted);
    }
    best.map(|(_, outcome)| outcome)
}

fn keep_better(
    best: &mut Option<(Vec<Rule>, Outcome)>,
    crew: &Crew<'_>,
    rules: Vec<Rule>,
    counted: &[ResourceId],
) {
    let Some(outcome) = crew.work(&rules, counted) else {
        return;
    };
    let better = |(_, b): &(_, Outcome)| outcome.rank() >= b.rank();
    if best.as_ref().is_none_or(better) {
        *best = Some((rules, outcome));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::Checked;
    use crate::recipe::Recipes;

    /// What a crew does by its rules keeps to every row of the program.
    #[test]
    fn an_outcome_is_a_solution_of_the_program() {
        let mut scenario = crate::sample::fixed();
        scenario.demand.clear();
        let scenario: Checked = scenario.check().unwrap();
        let timeline = scenario.horizon.timeline(scenario.site.time_zone);
        let recipes = Recipes::of(&scenario).unwrap();
        for (steps, all) in [(20_usize, false), (70, false), (200, true)] {
            let timeline = timeline.until(timeline.at(steps));
            let soda = crate::mapping::network(&scenario, &recipes, &timeline);
            let ids: Vec<ResourceId> = soda.ready.iter().flat_map(|(_, _, l)| l).copied().collect();
            let outcome = most_ready(&soda, &ids, f64::INFINITY, Watch::default()).unwrap();
            let form = soda.formulate(&scenario, &timeline);
            let values = outcome.values(&soda, &form);
            assert_eq!(form.program.broken(&values, 1e-5), None, "{steps} steps");
            assert!(
                outcome.count() > 8.0,
                "more than the 8 that stand there: {}",
                outcome.count()
            );
            let ceiling = ceiling(&soda, &ids, Watch::default());
            assert!(outcome.count() <= ceiling);
            // Four days are time enough to fill every place.
            assert!(
                !all || outcome.count() >= ceiling,
                "{} of {ceiling}",
                outcome.count()
            );
        }
    }
}
