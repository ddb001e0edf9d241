//! How many kegs can be ready by an instant, and what stops there being more.

mod by_rules;
mod counting;
mod curve;
mod sets;
mod wanted;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::problem::Problem;
use super::rounding::tenths;
use super::{NoAnswer, bottlenecks, status_of};
use crate::check::Checked;
use crate::decode::Context;
use crate::mapping::{SodaNetwork, network};
use crate::milp::{Solved, Stop, Watch};
use crate::network::ResourceId;
use crate::plan::{Reason, Status};
use crate::recipe::Recipes;
use crate::scenario::{KegTypeId, ProductId};
use crate::search::{Limits, search_from};
use crate::timeline::Timeline;
use by_rules::Reached;
use counting::Counted;
pub use curve::{CapacityCurve, CurvePoint, capacity_curve};
pub use wanted::MixPart;
use wanted::Wanted;

/// The most kegs that can stand ready at an instant, if nothing is served before it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CapacityQuestion {
    /// The instant, inside the scenario's horizon (RFC 3339 with an offset).
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub by: DateTime<FixedOffset>,
    /// Only kegs of this product; of all products where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<ProductId>,
    /// Only whole sets of kegs: so many of each of these products, of whatever size. Kegs of any
    /// product count alike where nothing is said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 100)]
    pub mix: Vec<MixPart>,
}

/// The most kegs that can be ready, with the bound that proves it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CapacityAnswer {
    /// The instant asked for.
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    pub by: DateTime<FixedOffset>,
    /// The product asked for; all products where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<ProductId>,
    /// The set asked for; empty where kegs count one by one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mix: Vec<MixPart>,
    /// The most kegs found; of a set, those in whole sets.
    #[schema(example = 27)]
    pub kegs: u32,
    /// No plan can have more kegs ready than this.
    #[schema(example = 27)]
    pub at_most: u32,
    /// Litres in the kegs found.
    #[schema(minimum = 0, example = 388.5)]
    pub litres: f64,
    /// The kegs found, by product and keg type.
    pub by_keg: Vec<KegCount>,
    /// Whether the number is proven.
    pub status: Status,
    /// What limits it, most limiting first, each confirmed by asking again with one more unit.
    pub limits: Vec<Reason>,
}

/// Kegs of one product and type.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KegCount {
    /// The product.
    pub product: ProductId,
    /// The keg type.
    pub keg_type: KegTypeId,
    /// How many.
    #[schema(example = 4)]
    pub kegs: u32,
}

/// Answers how many kegs can be ready by an instant: the most that can stand gassed and cold in
/// the cold stores then, what is on hand included, if nothing is served before it.
///
/// Rules of thumb come first: where they reach what kegs and places allow at all, that is the
/// answer. Otherwise the search starts from what they reached.
///
/// # Errors
/// [`NoAnswer`] if the question is outside the scenario, or the search was stopped too early.
pub fn capacity(
    scenario: &Checked,
    question: &CapacityQuestion,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<CapacityAnswer, NoAnswer> {
    let wanted = Wanted::of(scenario, question.product.as_ref(), &question.mix)?;
    let timeline = until(scenario, question)?;
    let idle = without_demand(scenario)?;
    let recipes = Recipes::of(&idle)?;
    let context = Context {
        scenario: &idle,
        recipes: &recipes,
        timeline: &timeline,
    };
    let result = count(context, &wanted, Explain::Yes, limits, watch)?;
    Ok(CapacityAnswer {
        by: timeline.stamp(question.by.to_utc()),
        product: question.product.clone(),
        mix: question.mix.clone(),
        kegs: result.by_keg.iter().map(|k| k.kegs).sum(),
        at_most: result.at_most as u32,
        litres: litres(&idle, &result.by_keg),
        by_keg: result.by_keg,
        status: result.status,
        limits: result.limits,
    })
}

/// Whether what limits a count is worked out as well.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Explain {
    Yes,
    No,
}

/// Counts the kegs that can be ready at the end of a timeline.
fn count(
    context: Context<'_>,
    wanted: &Wanted,
    explain: Explain,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Counts, NoAnswer> {
    let scenario = context.scenario;
    let mut soda = network(scenario, context.recipes, context.timeline);
    counting::only_useful_gassings(&mut soda, context.recipes, wanted);
    if let Wanted::Sets(parts) = wanted {
        let counted = sets::count_sets(&mut soda, parts);
        let limits = whole(limits);
        let counting = Counting {
            context,
            soda: &soda,
            counted: &counted,
            wanted,
            explain,
        };
        return counting.by_search(Reached::nothing(), limits, watch);
    }
    let counted = counting::count_ready(&mut soda, wanted);
    let reached = by_rules::reach(&soda, &counted, watch);
    if let Some(outcome) = reached.proven() {
        return Ok(Counts {
            by_keg: by_keg(scenario, &counted, |id| outcome.level(id)),
            at_most: reached.ceiling,
            status: Status::Optimal,
            limits: match explain {
                Explain::Yes => by_rules::limits(context, &soda, &counted, &reached, watch),
                Explain::No => Vec::new(),
            },
        });
    }
    let limits = whole(limits);
    let by_rules = reached.outcome.as_ref().map(|outcome| Counts {
        by_keg: by_keg(scenario, &counted, |id| outcome.level(id)),
        at_most: reached.ceiling,
        status: Status::StoppedByTime,
        limits: Vec::new(),
    });
    let counting = Counting {
        context,
        soda: &soda,
        counted: &counted,
        wanted,
        explain,
    };
    match (counting.by_search(reached, limits, watch), by_rules) {
        // Not even the relaxation was solved in time: what rules of thumb reach still stands.
        (Err(NoAnswer::Stopped(Stop::Time)), Some(by_rules)) => Ok(by_rules),
        (found, _) => found,
    }
}

/// What is counted is whole, so the bound is too.
fn whole(limits: Limits) -> Limits {
    Limits {
        gap: 1e-6,
        whole_worth: true,
        ..limits
    }
}

/// What was found, by rules or by searching.
struct Counts {
    by_keg: Vec<KegCount>,
    at_most: f64,
    status: Status,
    limits: Vec<Reason>,
}

/// A count to be searched for.
struct Counting<'a> {
    context: Context<'a>,
    soda: &'a SodaNetwork,
    counted: &'a Counted,
    wanted: &'a Wanted,
    explain: Explain,
}

impl Counting<'_> {
    /// Searches, starting from what rules of thumb reached.
    fn by_search(
        &self,
        reached: Reached,
        limits: Limits,
        watch: Watch<'_>,
    ) -> Result<Counts, NoAnswer> {
        let (context, soda) = (self.context, self.soda);
        watch.look_up()?;
        let form = soda.formulate(context.scenario, context.timeline);
        watch.look_up()?;
        let known = reached.outcome.map(|outcome| outcome.values(soda, &form));
        let searching = match self.explain {
            Explain::Yes => bottlenecks::searching(limits),
            Explain::No => limits,
        };
        let found = search_from(&soda.net, &form, known, searching, watch)?;
        let one = f64::from(self.wanted.kegs_of_one());
        let kegs = |solved: &Solved| solved.objective * one;
        let at_end = |id: ResourceId| {
            let column = form.levels(id).last().and_then(|level| level.column);
            column.map_or(0.0, |column| found.values[column])
        };
        let problem = Problem::new(context, soda, &form);
        Ok(Counts {
            by_keg: by_keg(context.scenario, self.counted, at_end),
            at_most: ((found.bound.max(0.0) + 1e-6).floor() * one).min(reached.ceiling),
            status: status_of(found.gap(), found.stopped, limits),
            limits: match self.explain {
                Explain::Yes => bottlenecks::capacity(problem, &found, limits, &kegs, watch),
                Explain::No => Vec::new(),
            },
        })
    }
}

/// The grid up to the instant asked for.
fn until(scenario: &Checked, question: &CapacityQuestion) -> Result<Timeline, NoAnswer> {
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    let by = question.by.to_utc();
    let first = timeline.at(1);
    if by < first || by > timeline.end() {
        return Err(NoAnswer::BadQuestion {
            field: "by".to_owned(),
            what: format!(
                "{} found; {} to {} is allowed (inside the horizon)",
                question.by.to_rfc3339(),
                timeline.stamp(first).to_rfc3339(),
                timeline.stamp(timeline.end()).to_rfc3339()
            ),
        });
    }
    Ok(timeline.until(by))
}

fn without_demand(scenario: &Checked) -> Result<Checked, NoAnswer> {
    let mut idle = scenario.clone().into_inner();
    idle.demand.clear();
    idle.check().map_err(|e| NoAnswer::Solver(e.to_string()))
}

fn by_keg(
    scenario: &Checked,
    counted: &Counted,
    at_end: impl Fn(ResourceId) -> f64,
) -> Vec<KegCount> {
    let mut counts = Vec::new();
    for (product, keg, levels) in counted {
        let kegs = levels.iter().map(|id| at_end(*id)).sum::<f64>().round() as u32;
        if kegs > 0 {
            counts.push(KegCount {
                product: scenario.setup.products[*product].id.clone(),
                keg_type: scenario.setup.keg_types[*keg].id.clone(),
                kegs,
            });
        }
    }
    counts
}

fn litres(scenario: &Checked, counts: &[KegCount]) -> f64 {
    let types = &scenario.setup.keg_types;
    let fill = |id: &KegTypeId| {
        types
            .iter()
            .find(|k| k.id == *id)
            .map_or(0.0, |k| k.fill_l.litres())
    };
    let sum: f64 = counts
        .iter()
        .map(|c| fill(&c.keg_type) * f64::from(c.kegs))
        .sum();
    tenths(sum)
}
