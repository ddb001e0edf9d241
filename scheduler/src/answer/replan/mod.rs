//! A new plan from what has happened, with as little moved as possible.
//!
//! ```text
//! published plan + facts ─execution_state─▶ fate of each item ─initial_state─▶ scenario that starts now
//!   ─▶ network ─frozen─▶ published work as starts ─▶ everything stays if it can (keep);
//!   otherwise a priced search, then needless moves are taken back ─▶ plan ─replay─▶ changes, why
//! ```
//!
//! Work is moved only for a cause: a fact that makes it impossible where it is, or litres that
//! would not be served otherwise. What could only be done a little cheaper stays.

mod causes;
pub(super) mod change_penalty;
mod deviations;
mod execution_state;
mod facts;
mod frozen;
mod ice_stock;
mod initial_state;
mod kegs;
mod moves;
mod names;
mod pots;
mod promises;
pub(super) mod published;
mod shortfalls;
pub(super) mod stability;
mod tap_stock;
mod water;
mod work_in_progress;

pub use facts::{Event, Facts, Measured};
pub use moves::{Change, ChangeKind, compare};
pub use shortfalls::Shortfall;

pub(crate) use moves::changes as changes_between;

use std::time::Instant;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::problem::Problem;
use super::rounding::cents;
use super::{NoAnswer, bottlenecks, plan as planning};
use crate::check::Checked;
use crate::decode::{self, Context, Start};
use crate::mapping::{SodaNetwork, network};
use crate::milp::{Formulation, Solved, Watch};
use crate::plan::{Plan, WorkItem};
use crate::recipe::Recipes;
use crate::scenario::Scenario;
use crate::search::{Limits, SearchOutcome, relaxation};
use crate::timeline::Timeline;
use deviations::Deviation;
use execution_state::Past;
use frozen::Frozen;
use published::Published;

/// A new plan for the rest of a published plan's horizon.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Replanned {
    /// The new plan. Work that stays keeps its published name. Its worth is what it serves less
    /// what it costs and less the price of its changes.
    pub plan: Plan,
    /// What the new plan was made from: what is on hand and under way at its start. Together with
    /// the plan it is what the next replanning starts from.
    pub scenario: Scenario,
    /// Where what has happened differs from what was published, in words.
    pub because: Vec<String>,
    /// What would run short if all published work stayed.
    pub shortfalls: Vec<Shortfall>,
    /// Work that is not as it was published, with reasons.
    pub changes: Vec<Change>,
    /// Published work items that stay as they are.
    #[schema(example = 61)]
    pub kept: u32,
    /// Whether no boil, fill, gassing or wash inside the frozen window was changed; false only where
    /// the facts do not let it stay.
    pub frozen_kept: bool,
    /// What the changes cost in the plan's worth: a small price for each start that is dropped or
    /// added, so that moving work must pay.
    #[schema(minimum = 0, example = 4.2)]
    pub price_of_changes: f64,
}

/// Plans the rest of a published plan's horizon from what has happened.
///
/// `scenario` is the one the plan was made from, with whatever is wanted or set up differently by
/// now. Started work is a fact; the new plan starts with the next full step.
///
/// # Errors
/// [`NoAnswer::BadQuestion`] if the facts or the plan do not fit the scenario;
/// [`NoAnswer`] as for a plan.
///
/// ```no_run
/// use scheduler::answer::{Facts, replan};
/// use scheduler::milp::Watch;
/// # fn shown(scenario: &scheduler::check::Checked, published: &scheduler::plan::Plan) {
/// let facts = Facts::none(scenario.horizon.start);
/// let limits = scheduler::search::Limits::default();
/// let new = replan(scenario, published, &facts, limits, Watch::default()).unwrap();
/// assert!(new.changes.is_empty());
/// # }
/// ```
pub fn replan(
    scenario: &Checked,
    published: &Plan,
    facts: &Facts,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Replanned, NoAnswer> {
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    fits(scenario, published, &timeline)?;
    let past = Past::of(published, &scenario.stock.under_way, facts, &timeline)?;
    let recipes = Recipes::of(scenario)?;
    let old = Context {
        scenario,
        recipes: &recipes,
        timeline: &timeline,
    };
    let opening = initial_state::scenario(old, &past, facts);
    let deviations = deviations(old, &past, facts, &opening);
    let scenario = opening.check().map_err(|faults| NoAnswer::BadQuestion {
        field: "facts".to_owned(),
        what: format!("what follows from them cannot be: {faults}"),
    })?;
    let recipes = Recipes::of(&scenario)?;
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    let new = Context {
        scenario: &scenario,
        recipes: &recipes,
        timeline: &timeline,
    };
    Task {
        context: new,
        past: &past,
        facts,
        deviations,
        items: published::items(&past),
    }
    .answer(limits, watch)
}

/// The plan must be one of this scenario.
fn fits(scenario: &Checked, plan: &Plan, timeline: &Timeline) -> Result<(), NoAnswer> {
    let same = plan.site == scenario.site.id
        && plan.start == scenario.horizon.start
        && plan.end == timeline.stamp(timeline.end())
        && plan.grid_minutes == scenario.horizon.grid_minutes.minutes();
    if same {
        return Ok(());
    }
    Err(NoAnswer::BadQuestion {
        field: "plan".to_owned(),
        what: format!(
            "a plan of {} from {} to {} found; one of {} from {} to {} is allowed (the scenario's)",
            plan.site,
            plan.start.to_rfc3339(),
            plan.end.to_rfc3339(),
            scenario.site.id,
            scenario.horizon.start.to_rfc3339(),
            timeline.stamp(timeline.end()).to_rfc3339()
        ),
    })
}

fn deviations(
    old: Context<'_>,
    past: &Past<'_>,
    facts: &Facts,
    opening: &Scenario,
) -> Vec<Deviation> {
    let unmeasured = Facts {
        measured: Measured::default(),
        ..facts.clone()
    };
    let expected = initial_state::scenario(old, past, &unmeasured);
    let stocks = (&expected.stock, &opening.stock);
    deviations::all(past, facts, stocks, opening)
}

/// A new plan to be made.
struct Task<'a> {
    context: Context<'a>,
    past: &'a Past<'a>,
    facts: &'a Facts,
    deviations: Vec<Deviation>,
    /// Published work that is still to come.
    items: Vec<WorkItem>,
}

/// The network with the frozen work taken out and a price on every change.
struct Priced {
    soda: SodaNetwork,
    form: Formulation,
    /// Published starts that may be changed.
    published: Published,
    frozen: Frozen,
    /// What the program's worth is above that of its plan.
    constant: f64,
    /// Worth of the columns without the price of changes.
    plain: Vec<f64>,
    relaxed: Solved,
}

impl Priced {
    fn problem<'a>(&'a self, context: Context<'a>) -> Problem<'a> {
        Problem::new(context, &self.soda, &self.form)
    }
}

impl Task<'_> {
    fn answer(self, limits: Limits, watch: Watch<'_>) -> Result<Replanned, NoAnswer> {
        let context = self.context;
        let began = Instant::now();
        let soda = network(context.scenario, context.recipes, context.timeline);
        watch.look_up()?;
        let form = soda.formulate(context.scenario, context.timeline);
        watch.look_up()?;
        let problem = Problem::new(context, &soda, &form);
        let published = published::starts(problem, &self.items);
        let broken = shortfalls::find(context, &soda, &published);
        let steps = self.frozen_steps();
        let settled = |steps: usize| -> Result<(Priced, SearchOutcome), NoAnswer> {
            let priced = self.priced(&soda, &published, steps, limits.left_since(began), watch)?;
            let limits = bottlenecks::searching(limits.left_since(began));
            let found = self.settle(&priced, limits, watch)?;
            Ok((priced, found))
        };
        let ((priced, found), frozen_kept) = match settled(steps) {
            Ok(settled) => (settled, true),
            // The facts do not let the frozen work stay.
            Err(NoAnswer::Solver(_)) if steps > 0 => (settled(0)?, false),
            Err(other) => return Err(other),
        };
        let (found, price_of_changes) = in_money(&priced, found);
        let mut starts = decode::starts(&priced.soda, &priced.form, &found.values);
        starts.extend(priced.frozen.starts.iter().copied());
        starts.sort_by_key(|start| start.step);
        // What is left, and what the search took of it: reasons get the difference.
        let limits = Limits {
            seconds: limits.left_since(began).seconds + found.seconds,
            ..limits
        };
        let mut plan = self.write(&priced, &found, &starts, limits, watch);
        plan.verdict.cost = cents((plan.verdict.cost - price_of_changes).max(0.0));
        let plan = planning::replayed(context.scenario, plan)?;
        let mut changes = self.changes(&plan);
        causes::Why {
            context,
            soda: &soda,
            deviations: &self.deviations,
            broken: &broken,
            published: self.past.plan,
            new: &plan,
        }
        .explain(&mut changes);
        let changed = changes.iter().filter(|c| c.change != ChangeKind::Added);
        let kept = self.items.len() - changed.count().min(self.items.len());
        Ok(Replanned {
            scenario: context.scenario.clone().into_inner(),
            because: self.deviations.into_iter().map(|d| d.text).collect(),
            shortfalls: broken.into_iter().map(|b| b.told).collect(),
            changes,
            kept: u32::try_from(kept).unwrap_or(u32::MAX),
            frozen_kept,
            price_of_changes: cents(price_of_changes),
            plan,
        })
    }

    /// Steps inside the frozen window.
    fn frozen_steps(&self) -> usize {
        let until = self.facts.now + chrono::Duration::minutes(i64::from(self.facts.frozen_min));
        self.context.timeline.step_from(until.to_utc())
    }

    fn priced(
        &self,
        soda: &SodaNetwork,
        published: &Published,
        steps: usize,
        limits: Limits,
        watch: Watch<'_>,
    ) -> Result<Priced, NoAnswer> {
        let mut soda = soda.clone();
        let frozen = frozen::freeze(&mut soda, published, steps);
        let scenario = self.context.scenario;
        let mut form = soda.formulate(scenario, self.context.timeline);
        let free = |(id, t): &(crate::network::TaskId, usize)| form.starts(*id, *t).is_some();
        let published: Published = published
            .iter()
            .filter(|(at, _)| free(at))
            .map(|(at, kept)| (*at, *kept))
            .collect();
        let plain = form.program.columns.iter().map(|c| c.objective).collect();
        let constant = change_penalty::add(scenario, &soda, &mut form, &published);
        let relaxed = relaxation(&soda.net, &form, limits, watch)?;
        Ok(Priced {
            soda,
            form,
            published,
            frozen,
            constant,
            plain,
            relaxed,
        })
    }

    /// Everything stays if it can and serves what was promised; otherwise the best is searched.
    fn settle(
        &self,
        priced: &Priced,
        limits: Limits,
        watch: Watch<'_>,
    ) -> Result<SearchOutcome, NoAnswer> {
        let (problem, published) = (priced.problem(self.context), &priced.published);
        let promised = promises::rules(problem, self.past.plan);
        let kept = stability::keep(problem, published, &promised, limits, watch)?;
        if let Some(kept) = &kept
            && self.is_enough(priced, kept)
        {
            return Ok(SearchOutcome {
                values: kept.values.clone(),
                objective: kept.objective,
                bound: priced.relaxed.bound.max(kept.objective),
                stopped: None,
                seconds: priced.relaxed.seconds + kept.seconds,
                relaxed: priced.relaxed.clone(),
            });
        }
        stability::move_some(problem, published, kept.as_ref(), limits, watch)
    }

    /// Whether the plan in which everything stays serves what was published, and nothing that has
    /// changed could let it serve more.
    fn is_enough(&self, priced: &Priced, kept: &Solved) -> bool {
        let starts = decode::starts(&priced.soda, &priced.form, &kept.values);
        let served = decode::served(self.context, &starts);
        let as_published = served.iter().all(|line| {
            line.served_l >= promises::litres(self.past.plan, line) - promises::ROUNDING_L
        });
        let short = served.iter().any(|line| line.short_l > 0.1);
        as_published && (self.deviations.is_empty() || !short)
    }

    fn write(
        &self,
        priced: &Priced,
        found: &SearchOutcome,
        starts: &[Start],
        limits: Limits,
        watch: Watch<'_>,
    ) -> Plan {
        let problem = priced.problem(self.context);
        let mut plan = planning::written(problem, found, starts, limits, watch);
        let scenario = self.context.scenario;
        names::carry_over(scenario, &mut plan, &self.items, self.past.plan);
        decode::sort(&mut plan.work);
        plan
    }

    /// Changes against what was published, late work at its published time.
    fn changes(&self, plan: &Plan) -> Vec<Change> {
        let published: Vec<WorkItem> = self.past.ahead().map(|(item, _)| item.clone()).collect();
        changes_between(&published, &plan.work)
    }
}

/// Takes the price of changes' constant out, and says what the changes cost.
fn in_money(priced: &Priced, mut found: SearchOutcome) -> (SearchOutcome, f64) {
    let paid = priced.plain.iter().zip(&found.values);
    let plain: f64 = paid.map(|(worth, x)| worth * x).sum();
    let price = (plain - (found.objective - priced.constant)).max(0.0);
    let off = priced.frozen.worth - priced.constant;
    found.objective += off;
    found.bound += off;
    (found, price)
}
