//! Can we also take this? Yes, or the earliest time and the most possible; what it costs, and which
//! other services it touches.
//!
//! The plan without the commitment is made first. With it, nobody may be served less than before,
//! and work is moved only where that pays for the move, so that what changes is what the
//! commitment brings about.

mod earliest;
pub(super) mod program;
mod question;

pub use question::{Can, CommitmentAnswer, CommitmentQuestion, Touched};

use std::collections::BTreeMap;
use std::time::Instant;

use super::problem::Problem;
use super::replan::{change_penalty, changes_between, published, stability};
use super::rounding::{cents, hundredths};
use super::{NoAnswer, plan as planning};
use crate::check::Checked;
use crate::decode::{self, Context};
use crate::mapping::{SodaNetwork, network};
use crate::milp::{Formulation, Watch};
use crate::plan::{Plan, Served};
use crate::recipe::Recipes;
use crate::scenario::DemandId;
use crate::search::{Limits, SearchOutcome, search};
use program::{nobody_yields, only_litres_count, protect};
use question::with_line;

/// Litres below this are rounding.
const NOTHING_L: f64 = 0.02;

/// Worth of a litre of the commitment if everybody else must yield to it, in prices of a litre that
/// is not served; the first priority's booking counts 5.6.
const INSISTING: f64 = 10.0;

/// What a litre is worth: one that somebody else gets less is a loss of so much, and one of the
/// commitment is worth so many prices of a litre that is not served.
#[derive(Clone, Copy)]
struct Worths {
    others: f64,
    own: f64,
}

/// Nobody yields.
const PROTECTING: Worths = Worths {
    others: nobody_yields(),
    own: INSISTING,
};

/// Nobody yields, and no litre that can be had is left out for being small.
const BINDING: Worths = Worths {
    others: nobody_yields(),
    own: INSISTING * 10.0,
};

/// Everybody yields.
const YIELDING: Worths = Worths {
    others: 0.0,
    own: INSISTING,
};

/// The plan without the commitment; none where nothing else is wanted.
struct Before {
    plan: Option<Plan>,
    served: BTreeMap<DemandId, f64>,
}

/// Answers whether something more can be taken.
///
/// # Errors
/// [`NoAnswer::BadQuestion`] if the question does not fit the scenario; [`NoAnswer`] as for a plan.
pub fn commitment(
    scenario: &Checked,
    question: &CommitmentQuestion,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<CommitmentAnswer, NoAnswer> {
    let more = with_line(scenario, question, question.due)?;
    let whole = limits;
    let limits = whole.part(0.2);
    let before = before(scenario, limits, watch)?;
    let line = more.demand.len() - 1;
    let wanted_l = more.demand[line].litres.litres();
    let mut with = planned(&more, &before, PROTECTING, limits, watch)?;
    let mut answer = CommitmentAnswer {
        can: Can::Yes,
        product: question.product.clone(),
        due: with.services[line].due,
        wanted_l,
        most_l: with.services[line].served_l,
        at_most_l: wanted_l,
        earliest: Some(with.services[line].due),
        not_before: Some(with.services[line].due),
        costs_more: 0.0,
        currency: scenario.site.currency.clone(),
        status: with.verdict.status,
        touched: Vec::new(),
        changes: Vec::new(),
        plan: with.clone(),
    };
    if with.services[line].short_l > NOTHING_L {
        let (litres, bound) = most(&more, &before, limits, watch)?;
        answer.most_l = hundredths(litres.max(answer.most_l));
        answer.at_most_l = hundredths(bound.min(wanted_l).max(answer.most_l));
        if litres >= wanted_l - NOTHING_L {
            // The first plan left out what was within its gap.
            with = planned(&more, &before, BINDING, limits, watch)?;
            answer.most_l = with.services[line].served_l;
        }
    }
    if with.services[line].short_l > NOTHING_L {
        let each = whole.part(0.05);
        let earliest = earliest::find(scenario, question, &before, each, watch)?;
        answer.earliest = earliest.found;
        answer.not_before = earliest.not_before;
        let insisting = planned(&more, &before, YIELDING, limits, watch)?;
        let all = insisting.services[line].short_l <= NOTHING_L;
        answer.can = if all { Can::IfOthersYield } else { Can::No };
        if all {
            with = insisting;
        }
    }
    answer.touched = touched(&before, &with.services[..line]);
    let (work, cost) = before
        .plan
        .as_ref()
        .map_or((&[][..], 0.0), |plan| (&plan.work[..], plan.verdict.cost));
    answer.changes = changes_between(work, &with.work);
    for change in &mut answer.changes {
        change.why = vec!["so that this can be taken".to_owned()];
    }
    answer.costs_more = cents(with.verdict.cost - cost);
    answer.status = with.verdict.status;
    answer.plan = with;
    Ok(answer)
}

fn before(scenario: &Checked, limits: Limits, watch: Watch<'_>) -> Result<Before, NoAnswer> {
    let plan = match planning::plan(scenario, limits, watch) {
        Ok(plan) => Some(plan),
        Err(NoAnswer::NoDemand) => None,
        Err(other) => return Err(other),
    };
    let services = plan.iter().flat_map(|plan| &plan.services);
    Ok(Before {
        served: services.map(|s| (s.demand.clone(), s.served_l)).collect(),
        plan,
    })
}

/// A network and its program with these worths; where none are given, only litres of the
/// commitment count, and nobody yields.
fn with_rule(
    context: Context<'_>,
    before: &Before,
    worths: Option<Worths>,
) -> (SodaNetwork, Formulation) {
    let soda = network(context.scenario, context.recipes, context.timeline);
    let mut form = soda.formulate(context.scenario, context.timeline);
    let lines = context.scenario.demand.iter().map(|line| line.id.clone());
    let lines: Vec<DemandId> = lines.collect();
    let others = match worths {
        None => {
            only_litres_count(&soda, &mut form, lines.len() - 1);
            nobody_yields()
        }
        Some(worths) => {
            let worth = context.scenario.policy.short_per_l.amount() * worths.own;
            for column in program::serving(&soda, &form, lines.len() - 1) {
                form.program.columns[column].objective = worth;
            }
            worths.others
        }
    };
    if others > 0.0 {
        protect((&soda, &mut form), &lines, &before.served, others);
    }
    (soda, form)
}

/// The plan with the commitment, and with as little work moved as pays.
fn planned(
    more: &Checked,
    before: &Before,
    worths: Worths,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Plan, NoAnswer> {
    let began = Instant::now();
    let recipes = Recipes::of(more)?;
    let timeline = more.horizon.timeline(more.site.time_zone);
    let context = Context {
        scenario: more,
        recipes: &recipes,
        timeline: &timeline,
    };
    watch.look_up()?;
    let (soda, mut form) = with_rule(context, before, Some(worths));
    watch.look_up()?;
    let work = before.plan.iter().flat_map(|plan| plan.work.clone());
    let work: Vec<_> = work.collect();
    let problem = Problem::new(context, &soda, &form);
    let published = published::starts(problem, &work);
    let own = soda.formulate(more, &timeline).program;
    let constant = change_penalty::add(more, &soda, &mut form, &published);
    // With everything as it was nobody yields, whatever the search finds.
    let limits = limits.left_since(began);
    let problem = Problem::new(context, &soda, &form);
    let kept = stability::keep(problem, &published, &[], limits, watch)?;
    let limits = limits.left_since(began);
    let found = stability::move_some(problem, &published, kept.as_ref(), limits, watch)?;
    let found = in_money(found, &own, constant);
    let starts = decode::starts(&soda, &form, &found.values);
    let plan = planning::written(problem, &found, &starts, limits, watch);
    planning::replayed(more, plan)
}

/// The worth of a plan as any plan's: without the rules and prices of this question. The bound
/// stays as far above it as it was found to be.
fn in_money(mut found: SearchOutcome, own: &crate::milp::Program, constant: f64) -> SearchOutcome {
    let distance = (found.bound - found.objective).max(0.0);
    let values = &found.values[..own.columns.len()];
    let worth = own.objective(values);
    debug_assert!(constant >= 0.0);
    found.objective = worth;
    found.bound = worth + distance;
    found
}

/// The most litres of the last line with nobody else served less, and the bound.
fn most(
    more: &Checked,
    before: &Before,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<(f64, f64), NoAnswer> {
    let began = Instant::now();
    let recipes = Recipes::of(more)?;
    let timeline = more.horizon.timeline(more.site.time_zone);
    let context = Context {
        scenario: more,
        recipes: &recipes,
        timeline: &timeline,
    };
    watch.look_up()?;
    let (soda, form) = with_rule(context, before, None);
    let limits = limits.left_since(began);
    let found = search(&soda.net, &form, limits, watch)?;
    let line = more.demand.len() - 1;
    let litres: f64 = program::serving(&soda, &form, line)
        .into_iter()
        .map(|column| found.values[column])
        .sum();
    // A plan in which somebody yields does not count.
    let litres = if found.objective > litres - 1.0 {
        litres
    } else {
        0.0
    };
    Ok((litres, found.bound.max(0.0)))
}

fn touched(before: &Before, now: &[Served]) -> Vec<Touched> {
    let less = now.iter().filter_map(|line| {
        let litres = *before.served.get(&line.demand)?;
        (line.served_l < litres - NOTHING_L).then(|| Touched {
            demand: line.demand.clone(),
            product: line.product.clone(),
            due: line.due,
            before_l: litres,
            after_l: line.served_l,
        })
    });
    less.collect()
}
