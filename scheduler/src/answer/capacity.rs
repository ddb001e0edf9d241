//! How many kegs can be ready by an instant, and what stops there being more.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{NoAnswer, status_of, why};
use crate::decode::Context;
use crate::mapping::{SodaNetwork, Work, network};
use crate::milp::{Formulation, Solved, Watch};
use crate::network::{ResourceId, Series};
use crate::plan::{Reason, Status};
use crate::recipe::Recipes;
use crate::scenario::{Checked, KegTypeId, ProductId};
use crate::search::{Found, Limits, search};
use crate::timeline::Timeline;

/// The most kegs that can stand ready at an instant, if nothing is served before it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CapacityQuestion {
    /// The instant, inside the scenario's horizon (RFC 3339 with an offset).
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    pub by: DateTime<FixedOffset>,
    /// Only kegs of this product; of all products where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<ProductId>,
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
    /// The most kegs found.
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
    /// What limits it, most limiting first, each confirmed by solving again with one more unit.
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
/// # Errors
/// [`NoAnswer`] if the question is outside the scenario, or the search was stopped too early.
pub fn capacity(
    scenario: &Checked,
    question: &CapacityQuestion,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<CapacityAnswer, NoAnswer> {
    let product = wanted_product(scenario, question)?;
    let timeline = until(scenario, question)?;
    let idle = without_demand(scenario)?;
    let recipes = Recipes::of(&idle)?;
    let mut soda = network(&idle, &recipes, &timeline);
    only_useful_gassings(&mut soda, &recipes, product);
    let counted = count_ready(&mut soda, product);
    let form = soda.formulate(&idle, &timeline);
    let limits = Limits {
        gap: 1e-6,
        whole_worth: true,
        ..limits
    };
    let found = search(&soda.net, &form, limits, watch)?;
    let context = Context {
        scenario: &idle,
        recipes: &recipes,
        timeline: &timeline,
    };
    let kegs = |_: &SodaNetwork, _: &Formulation, solved: &Solved| solved.worth;
    let unit = (
        "kegs",
        &kegs as &dyn Fn(&SodaNetwork, &Formulation, &Solved) -> f64,
    );
    let by_keg = by_keg(&idle, &form, &found, &counted);
    let most = by_keg.iter().map(|k| k.kegs).sum();
    Ok(CapacityAnswer {
        by: timeline.stamp(question.by.to_utc()),
        product: question.product.clone(),
        kegs: most,
        at_most: (found.bound.max(0.0) + 1e-6).floor() as u32,
        litres: litres(&idle, &by_keg),
        by_keg,
        status: status_of(found.gap(), found.stopped, limits),
        limits: why::confirm(context, (&soda, &form), &found.relaxed, unit, watch),
    })
}

fn wanted_product(
    scenario: &Checked,
    question: &CapacityQuestion,
) -> Result<Option<usize>, NoAnswer> {
    let Some(id) = &question.product else {
        return Ok(None);
    };
    let products = &scenario.setup.products;
    let found = products.iter().position(|p| p.id == *id);
    found.map(Some).ok_or_else(|| {
        let names: Vec<&str> = products.iter().map(|p| p.id.as_str()).collect();
        NoAnswer::BadQuestion {
            field: "product".to_owned(),
            what: format!(
                "there is no product \"{id}\"; the setup has: {}",
                names.join(", ")
            ),
        }
    })
}

/// The grid up to the instant asked for.
fn until(scenario: &Checked, question: &CapacityQuestion) -> Result<Timeline, NoAnswer> {
    let timeline = Timeline::new(&scenario.horizon, scenario.site.time_zone);
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

/// Leaves out gassings that cannot raise the count: those of other products, and, where any product
/// counts, those for which another product does the same with less CO2.
fn only_useful_gassings(soda: &mut SodaNetwork, recipes: &Recipes, product: Option<usize>) {
    let mut least: BTreeMap<(usize, usize, u64), (f64, usize)> = BTreeMap::new();
    for (n, gas) in recipes.gassings.iter().enumerate() {
        if product.is_none_or(|wanted| wanted == gas.product) {
            let same = (gas.station, gas.keg, gas.minutes.ceil() as u64);
            let best = least.entry(same).or_insert((gas.co2_kg, n));
            if gas.co2_kg < best.0 {
                *best = (gas.co2_kg, n);
            }
        }
    }
    let tasks: Vec<_> = soda.net.tasks().map(|(id, _)| id).collect();
    for (id, work) in tasks.into_iter().zip(&soda.work) {
        if let Work::Gas { recipe, .. } = work
            && !least.values().any(|(_, n)| n == recipe)
        {
            soda.net.task_mut(id).most = Series::Constant(0.0);
        }
    }
}

/// Kegs that count, with the resources that hold them.
type Counted = Vec<(usize, usize, Vec<ResourceId>)>;

/// Makes ready kegs at the last point the only thing of worth.
fn count_ready(soda: &mut SodaNetwork, product: Option<usize>) -> Counted {
    let last = soda.net.points() - 1;
    let tasks: Vec<_> = soda.net.tasks().map(|(id, _)| id).collect();
    for id in tasks {
        let task = soda.net.task_mut(id);
        task.worth_per_start = Series::Constant(0.0);
        task.worth_per_size = 0.0;
    }
    let resources: Vec<_> = soda.net.resources().map(|(id, _)| id).collect();
    for id in resources {
        soda.net.resource_mut(id).worth = Series::Constant(0.0);
    }
    let wanted = |p: usize| product.is_none_or(|wanted| wanted == p);
    let counted: Counted = soda
        .ready
        .iter()
        .filter(|(p, _, _)| wanted(*p))
        .cloned()
        .collect();
    for id in counted.iter().flat_map(|(_, _, levels)| levels) {
        let resource = soda.net.resource_mut(*id);
        *resource = resource.clone().worth_at_end(last, 1.0);
    }
    counted
}

fn by_keg(
    scenario: &Checked,
    form: &Formulation,
    found: &Found,
    counted: &Counted,
) -> Vec<KegCount> {
    let at_end = |id: &ResourceId| {
        let level = form.levels(*id).last()?;
        Some(found.values[level.column?])
    };
    let mut counts = Vec::new();
    for (product, keg, levels) in counted {
        let kegs = levels.iter().filter_map(at_end).sum::<f64>().round() as u32;
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
    (sum * 10.0).round() / 10.0
}
