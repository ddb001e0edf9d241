//! What to boil, ice, fill, gas and wash, and when.

use std::time::Instant;

use super::problem::Problem;
use super::rounding::cents;
use super::{NoAnswer, bottlenecks, status_of};
use crate::check::Checked;
use crate::decode::{self, Context, Start};
use crate::mapping::network;
use crate::milp::Watch;
use crate::plan::{GasStep, Plan, Step, Verdict, WorkItem};
use crate::recipe::Recipes;
use crate::replay::{self, Violation};
use crate::search::{Limits, SearchOutcome, search};

/// Plans a scenario.
///
/// The plan that comes back has passed its replay. Demand that cannot be met is a shortage with
/// its reasons, never an error.
///
/// # Errors
/// [`NoAnswer`] if nothing is wanted, or the search was stopped before it had a first plan.
pub fn plan(scenario: &Checked, limits: Limits, watch: Watch<'_>) -> Result<Plan, NoAnswer> {
    if scenario.demand.is_empty() {
        return Err(NoAnswer::NoDemand);
    }
    let began = Instant::now();
    watch.look_up()?;
    let recipes = Recipes::of(scenario)?;
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    let soda = network(scenario, &recipes, &timeline);
    watch.look_up()?;
    let form = soda.formulate(scenario, &timeline);
    let limits = limits.left_since(began);
    let found = search(&soda.net, &form, bottlenecks::searching(limits), watch)?;
    let context = Context {
        scenario,
        recipes: &recipes,
        timeline: &timeline,
    };
    let starts = decode::starts(&soda, &form, &found.values);
    let problem = Problem::new(context, &soda, &form);
    let plan = written(problem, &found, &starts, limits, watch);
    replayed(scenario, plan)
}

/// Writes down what was found as a plan; its replay is still to come.
pub(super) fn written(
    problem: Problem<'_>,
    found: &SearchOutcome,
    starts: &[Start],
    limits: Limits,
    watch: Watch<'_>,
) -> Plan {
    let context = problem.context;
    let (scenario, timeline) = (context.scenario, context.timeline);
    let work = decode::work(context, starts);
    let reserves = decode::reserves(context, starts);
    let mut services = decode::served(context, starts);
    if services.iter().any(|s| s.short_l > 0.0) {
        bottlenecks::shortage(problem, found, limits, &mut services, watch);
    }
    let earned = crate::mapping::earned(scenario, &services, &reserves);
    Plan {
        site: scenario.site.id.clone(),
        start: timeline.stamp(timeline.start()),
        end: timeline.stamp(timeline.end()),
        grid_minutes: scenario.horizon.grid_minutes.minutes(),
        verdict: Verdict {
            status: status_of(found.gap(), found.stopped, limits),
            worth: cents(found.objective),
            bound: cents(found.bound),
            gap: found.gap(),
            cost: cents((earned - found.objective).max(0.0)),
            currency: scenario.site.currency.clone(),
            served_l: services.iter().map(|s| s.served_l).sum(),
            short_l: services.iter().map(|s| s.short_l).sum(),
            kegs_gassed: work.iter().map(kegs_gassed).sum(),
            boils: work.iter().map(boils).sum(),
            replayed_minutes: 0,
        },
        needs: decode::needs(context, &work),
        services,
        reserves,
        work,
    }
}

/// The plan, if its replay finds nothing wrong with it.
pub(super) fn replayed(scenario: &Checked, mut plan: Plan) -> Result<Plan, NoAnswer> {
    plan.verdict.replayed_minutes = replay::replay(scenario, &plan)
        .map_err(|violations| NoAnswer::Replay(first_few(&violations)))?
        .minutes;
    Ok(plan)
}

fn kegs_gassed(item: &WorkItem) -> u32 {
    match &item.step {
        Step::Gas(GasStep { kegs, .. }) => *kegs,
        _ => 0,
    }
}

fn boils(item: &WorkItem) -> u32 {
    u32::from(matches!(item.step, Step::Boil(_)))
}

/// The first few violations in words; more would not help whoever reads them.
fn first_few(violations: &[Violation]) -> String {
    let words: Vec<String> = violations.iter().take(3).map(ToString::to_string).collect();
    let more = violations.len().saturating_sub(words.len());
    match more {
        0 => words.join("; "),
        _ => format!("{}; and {more} more", words.join("; ")),
    }
}
