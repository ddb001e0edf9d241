//! How sure is a plan? It is replayed many times with everything varied by stated spreads.
//!
//! A simulator of its own: `layout` lays the plan out once with the help
//! of `model`, `sampling` draws
//! how far each thing is off, `run` lets the delays run through the work, `statistics` counts, and
//! `buffers` tries what would make it surer with the same luck.

mod around;
mod buffers;
mod cooling;
mod floor;
mod gassing;
mod layout;
mod measure;
mod replays;
mod run;
mod sampling;
mod spreads;
mod statistics;

pub use buffers::Slack;
pub use measure::{Measure, Unknown};
pub use spreads::Spreads;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::NoAnswer;
use super::rounding::ten_thousandths;
use crate::check::Checked;
use crate::decode::Context;
use crate::milp::Watch;
use crate::plan::{Plan, WorkId};
use crate::recipe::Recipes;
use crate::replay;
use crate::scenario::{DemandId, ProductId};
use floor::Floor;
use layout::Layout;
use replays::Replays;
use statistics::{Tally, rests_on, tally};

/// The most replays one question may ask for.
const MOST_REPLAYS: u32 = 100_000;
/// Work items that are told for each service.
const TOLD: usize = 3;

/// How often to replay a plan, and how far things may be off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ConfidenceQuestion {
    /// Replays.
    #[schema(minimum = 100, maximum = 100000, example = 1000)]
    pub replays: u32,
    /// Starts the random numbers: the same seed gives the same answer.
    #[schema(example = 1)]
    pub seed: u64,
    /// How far things may be off.
    pub spreads: Spreads,
}

impl Default for ConfidenceQuestion {
    fn default() -> Self {
        Self {
            replays: 1000,
            seed: 1,
            spreads: Spreads::default(),
        }
    }
}

/// How sure a plan is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ConfidenceAnswer {
    /// Replays made.
    #[schema(example = 1000)]
    pub replays: u32,
    /// What started the random numbers.
    #[schema(example = 1)]
    pub seed: u64,
    /// How far things may be off.
    pub spreads: Spreads,
    /// How many services are met on average.
    #[schema(minimum = 0, example = 37.2)]
    pub services_met: f64,
    /// Each line of demand, in order of time.
    pub services: Vec<ServiceChance>,
    /// What would make it surer, the best for its money first; each was tried by replaying.
    pub slack: Vec<Slack>,
    /// What could be measured better and costs something as long as it is not, the dearest first;
    /// nothing in answers from before it was looked for.
    #[serde(default)]
    pub measure: Vec<Measure>,
}

/// How sure one line of demand is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ServiceChance {
    /// The line.
    pub demand: DemandId,
    /// Its product.
    pub product: ProductId,
    /// The service.
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    pub due: DateTime<FixedOffset>,
    /// Part of the replays in which at least 99 % of what was wanted was on tap when it was due.
    #[schema(minimum = 0, maximum = 1, example = 0.93)]
    pub chance: f64,
    /// Standard error of that part, from the number of replays.
    #[schema(minimum = 0, example = 0.008)]
    pub standard_error: f64,
    /// Litres missing on average.
    #[schema(minimum = 0, example = 0.4)]
    pub missing_l: f64,
    /// Part of the replays in which it was missed though all the work it rests on was in time, so
    /// that more was wanted than was made.
    #[schema(minimum = 0, maximum = 1, example = 0.02)]
    pub missed_in_time: f64,
    /// Work that decides it, most deciding first.
    pub decided_by: Vec<Deciding>,
}

/// Work that decides whether a service is met.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Deciding {
    /// The work item.
    pub item: WorkId,
    /// Part of the replays in which it is over later than planned.
    #[schema(minimum = 0, maximum = 1, example = 0.21)]
    pub late: f64,
    /// By how much the part of replays in which the service is missed is larger where the item is
    /// late than where it is not.
    #[schema(example = 0.64)]
    pub missed_more: f64,
    /// Standard error of that difference.
    #[schema(minimum = 0, example = 0.04)]
    pub standard_error: f64,
}

/// Replays a plan many times with everything varied, and counts how often each service is met.
///
/// # Errors
/// [`NoAnswer::BadQuestion`] if the question is out of range or the plan is not one of this
/// scenario; [`NoAnswer::Physics`] if a value is outside what the physics is known for;
/// [`NoAnswer::Stopped`] if somebody asked to stop, as a part of the replays says little.
///
/// ```no_run
/// use scheduler::answer::{ConfidenceQuestion, confidence};
/// use scheduler::milp::Watch;
/// # fn shown(scenario: &scheduler::check::Checked, plan: &scheduler::plan::Plan) {
/// let question = ConfidenceQuestion::default();
/// let answer = confidence(scenario, plan, &question, Watch::default()).unwrap();
/// for service in &answer.services {
///     println!("{}: {:.0} %", service.demand, service.chance * 100.0);
/// }
/// # }
/// ```
pub fn confidence(
    scenario: &Checked,
    plan: &Plan,
    question: &ConfidenceQuestion,
    watch: Watch<'_>,
) -> Result<ConfidenceAnswer, NoAnswer> {
    check(question)?;
    let replays = Replays::new(scenario, question, watch);
    replay::replay(scenario, plan).map_err(|violations| NoAnswer::BadQuestion {
        field: "plan".to_owned(),
        what: format!(
            "it is not a plan that works for this scenario: {}",
            violations
                .first()
                .map(ToString::to_string)
                .unwrap_or_default()
        ),
    })?;
    let recipes = Recipes::of(scenario)?;
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    let context = Context {
        scenario,
        recipes: &recipes,
        timeline: &timeline,
    };
    let floor = Layout::new(context, plan, question.spreads).floor()?;
    let tally = tally(&floor, &replays)?;
    let mut services = services(scenario, &floor, &tally);
    let deciding = most_deciding(&floor, &services);
    let slack = buffers::find(context, &floor, &tally, &replays, &deciding)?;
    let measure = measure::first(&floor, &tally, &replays)?;
    services.sort_by(|a, b| a.due.cmp(&b.due).then_with(|| a.demand.cmp(&b.demand)));
    Ok(ConfidenceAnswer {
        replays: question.replays,
        seed: question.seed,
        spreads: question.spreads,
        services_met: ten_thousandths(tally.services_met()),
        services,
        slack,
        measure,
    })
}

fn check(question: &ConfidenceQuestion) -> Result<(), NoAnswer> {
    let refuse = |field: String, what: String| Err(NoAnswer::BadQuestion { field, what });
    if !(100..=MOST_REPLAYS).contains(&question.replays) {
        let found = question.replays;
        let what = format!("{found} found; 100 to {MOST_REPLAYS} are allowed");
        return refuse("replays".to_owned(), what);
    }
    match question.spreads.fault() {
        Some((name, what)) => refuse(format!("spreads.{name}"), what),
        None => Ok(()),
    }
}

fn services(scenario: &Checked, floor: &Floor, tally: &Tally) -> Vec<ServiceChance> {
    let replays = f64::from(tally.replays.max(1));
    let lines = scenario.demand.iter().enumerate();
    lines
        .map(|(n, line)| {
            let chance = f64::from(tally.met[n]) / replays;
            ServiceChance {
                demand: line.id.clone(),
                product: line.product.clone(),
                due: line.due,
                chance: ten_thousandths(chance),
                standard_error: ten_thousandths(standard_error(chance, replays)),
                missing_l: ten_thousandths(tally.missing[n]),
                missed_in_time: ten_thousandths(f64::from(tally.missed_in_time[n]) / replays),
                decided_by: deciding(floor, tally, n),
            }
        })
        .collect()
}

/// Of a part found in so many replays. Where all or none were met the part may still be off by
/// about one replay in so many: (r + 1) / (n + 2) in place of r / n keeps the error from vanishing.
fn standard_error(part: f64, replays: f64) -> f64 {
    let part = (part * replays + 1.0) / (replays + 2.0);
    (part * (1.0 - part) / replays).sqrt()
}

fn deciding(floor: &Floor, tally: &Tally, line: usize) -> Vec<Deciding> {
    let mut found: Vec<Deciding> = rests_on(floor, line)
        .into_iter()
        .filter_map(|item| {
            let (more, error) = tally.decides(item, line)?;
            let late = tally.late[item].iter().filter(|late| **late).count();
            (more > 2.0 * error && more > 0.01).then(|| Deciding {
                item: floor.ids[item].clone(),
                late: ten_thousandths(late as f64 / f64::from(tally.replays)),
                missed_more: ten_thousandths(more),
                standard_error: ten_thousandths(error),
            })
        })
        .collect();
    found.sort_by(|a, b| {
        let order = b.missed_more.total_cmp(&a.missed_more);
        order.then_with(|| a.item.cmp(&b.item))
    });
    found.truncate(TOLD);
    found
}

/// Items that decide services, those that decide most first.
fn most_deciding(floor: &Floor, services: &[ServiceChance]) -> Vec<usize> {
    let mut weight = vec![0.0; floor.ids.len()];
    for service in services {
        for deciding in &service.decided_by {
            if let Some(item) = floor.ids.iter().position(|id| *id == deciding.item) {
                weight[item] += deciding.late * deciding.missed_more;
            }
        }
    }
    let mut items: Vec<usize> = (0..weight.len()).filter(|n| weight[*n] > 0.0).collect();
    items.sort_by(|a, b| weight[*b].total_cmp(&weight[*a]).then_with(|| a.cmp(b)));
    items
}
