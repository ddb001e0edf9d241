//! Slack that would make a plan surer: each kind is tried by replaying with it.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::floor::{Floor, ReadyKeg, What};
use super::replays::Replays;
use super::statistics::{Tally, tally};
use crate::answer::NoAnswer;
use crate::answer::rounding::{cents, ten_thousandths};
use crate::decode::Context;
use crate::recipe::Recipes;
use crate::scenario::Scenario;

/// Something that would make the plan surer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Slack {
    /// What to do, in words.
    #[schema(example = "start boil-3 30 min earlier")]
    pub what: String,
    /// What it costs, in the site's currency.
    #[schema(minimum = 0, example = 5.5)]
    pub cost: f64,
    /// How many more services are met on average, found by replaying with it and the same luck.
    #[schema(example = 0.21)]
    pub services_more: f64,
    /// Standard error of that figure.
    #[schema(minimum = 0, example = 0.02)]
    pub standard_error: f64,
}

/// Ice bought at once, in kilograms.
const ICE_KG: f64 = 10.0;
/// How many kinds of slack are told.
const TOLD: usize = 5;
/// Work items that are tried earlier.
const TRIED_EARLIER: usize = 8;

/// A change of the floor that is tried.
struct Candidate {
    what: String,
    cost: f64,
    floor: Floor,
}

/// Tries slack, and tells what helps most for its money, best first. Attention costs money too: a
/// few minutes of hands are counted for each.
///
/// # Errors
/// [`NoAnswer::Stopped`] if somebody asked to stop.
pub(super) fn find(
    context: Context<'_>,
    floor: &Floor,
    now: &Tally,
    replays: &Replays<'_>,
    deciding: &[usize],
) -> Result<Vec<Slack>, NoAnswer> {
    let attention = context.scenario.setup.costs.hands_per_h.amount() * 2.0 / 60.0;
    let mut told: Vec<(f64, Slack)> = Vec::new();
    for candidate in candidates(context, floor, now, deciding) {
        let then = tally(&candidate.floor, replays)?;
        let (more, error) = gain(now, &then);
        if more > 2.0 * error && more > 0.0 {
            let slack = Slack {
                what: candidate.what,
                cost: cents(candidate.cost),
                services_more: ten_thousandths(more),
                standard_error: ten_thousandths(error),
            };
            told.push((more / (candidate.cost + attention.max(0.01)), slack));
        }
    }
    told.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.what.cmp(&b.1.what)));
    let best = told.into_iter().take(TOLD);
    Ok(best.map(|(_, slack)| slack).collect())
}

/// Mean gain in services met, replay by replay, and its standard error.
pub(super) fn gain(now: &Tally, then: &Tally) -> (f64, f64) {
    let met = |tally: &Tally, replay: usize| {
        let lines = tally.met_in.iter();
        lines.filter(|met| met[replay]).count() as f64
    };
    let replays = now.replays as usize;
    let differences: Vec<f64> = (0..replays).map(|n| met(then, n) - met(now, n)).collect();
    let count = replays.max(2) as f64;
    let mean = differences.iter().sum::<f64>() / count;
    let spread = differences.iter().map(|d| (d - mean).powi(2)).sum::<f64>();
    (mean, (spread / (count - 1.0) / count).sqrt())
}

fn candidates(
    context: Context<'_>,
    floor: &Floor,
    now: &Tally,
    deciding: &[usize],
) -> Vec<Candidate> {
    let mut all = Vec::new();
    for item in deciding.iter().take(TRIED_EARLIER) {
        for steps in [1.0, 2.0] {
            all.extend(earlier(floor, *item, steps));
        }
    }
    all.extend(more_ice(context.scenario, floor));
    all.extend(spare_kegs(context, floor, now));
    all
}

/// An item's first phase is started some steps earlier, if its pot and hands are free then. What
/// follows stays where it is.
fn earlier(floor: &Floor, item: usize, steps: f64) -> Option<Candidate> {
    let mut changed = floor.clone();
    let shift = steps * floor.grid;
    let mine = |what: &What| match what {
        What::Light { item: n, .. } | What::Gas { item: n, .. } | What::Wash { item: n, .. } => {
            *n == item
        }
        _ => false,
    };
    let position = changed.phases.iter().position(|phase| mine(&phase.what))?;
    let at = changed.phases[position].at - shift;
    if at < 0.0 || !there(floor, item, at) || !possible(floor, &changed.phases[position].what, at) {
        return None;
    }
    changed.phases[position].at = at;
    changed.phases.sort_by(|a, b| a.at.total_cmp(&b.at));
    let minutes = shift as i64;
    Some(Candidate {
        what: format!("start {} {minutes} min earlier", floor.ids[item]),
        cost: 0.0,
        floor: changed,
    })
}

/// Whether hands are left for an item's start at a minute, besides what is planned then.
fn there(floor: &Floor, item: usize, at: f64) -> bool {
    let step = (at / floor.grid) as usize;
    let planned: f64 = floor
        .phases
        .iter()
        .filter(|phase| (phase.at / floor.grid) as usize == step)
        .map(|phase| match phase.what {
            What::Light { item, .. }
            | What::Fill { item, .. }
            | What::Gas { item, .. }
            | What::Wash { item, .. } => floor.needs[item].all,
            What::Chill { item, .. } => floor.needs[item].last_all,
            _ => 0.0,
        })
        .sum();
    let free = floor.hands.get(step).copied().unwrap_or(0.0) - planned;
    free >= floor.needs[item].all
}

/// Whether the pot is empty, or the kegs are planned to be cold and a connection is free, by then.
fn possible(floor: &Floor, what: &What, at: f64) -> bool {
    match what {
        What::Light { pot, item, .. } => {
            let taken = floor.phases.iter().any(|phase| match &phase.what {
                What::Fill { pots, .. } => {
                    pots.contains(pot)
                        && phase.at + floor.grid > at
                        && phase.at < at + floor.grid * 2.0
                }
                What::Chill {
                    pot: other,
                    item: n,
                    ..
                } => other == pot && n != item && (at - phase.at).abs() < floor.grid,
                _ => false,
            });
            !taken
        }
        What::Gas { station, kegs, .. } => {
            let coupled: usize = floor
                .phases
                .iter()
                .filter_map(|phase| match &phase.what {
                    What::Gas {
                        station: s,
                        kegs,
                        ready,
                        ..
                    } if s == station && phase.at <= at && *ready > at => Some(*kegs),
                    _ => None,
                })
                .sum();
            coupled + kegs <= floor.stations[*station]
        }
        _ => true,
    }
}

/// Ten kilograms of ice more, bought for each morning that somebody is there.
fn more_ice(scenario: &Scenario, floor: &Floor) -> Vec<Candidate> {
    let Some(purchase) = &scenario.setup.ice.purchase else {
        return Vec::new();
    };
    let day = (24.0 * 60.0 / floor.grid) as usize;
    let mornings = floor
        .hands
        .chunks(day)
        .enumerate()
        .filter_map(|(n, hands)| {
            let first = hands.iter().position(|minutes| *minutes > 0.0)?;
            Some((n * day + first) as f64 * floor.grid)
        });
    mornings
        .filter(|at| *at >= purchase.lead_min.minutes())
        .map(|at| {
            let mut changed = floor.clone();
            let place = changed.phases.partition_point(|phase| phase.at < at);
            let deliver = What::Deliver { kg: ICE_KG };
            changed
                .phases
                .insert(place, super::floor::Phase { at, what: deliver });
            let when = scenario.horizon.start + chrono::Duration::minutes(at as i64);
            Candidate {
                what: format!("buy {ICE_KG} kg of ice for {}", when.format("%a %H:%M")),
                cost: ICE_KG * purchase.price_per_kg.amount(),
                floor: changed,
            }
        })
        .collect()
}

/// One keg more of a product that is missed now and then, made with its first gassing.
fn spare_kegs(context: Context<'_>, floor: &Floor, now: &Tally) -> Vec<Candidate> {
    let mut all = Vec::new();
    for (product, made) in context.scenario.setup.products.iter().enumerate() {
        let missed = floor.phases.iter().any(|phase| match &phase.what {
            What::Serve {
                product: p, lines, ..
            } => *p == product && lines.iter().any(|line| now.met[*line] < now.replays),
            _ => false,
        });
        let first = floor.phases.iter().find_map(|phase| match phase.what {
            What::Gas {
                product: p,
                keg,
                ready,
                ..
            } if p == product => Some((keg, ready)),
            _ => None,
        });
        let Some((keg, ready)) = first.filter(|_| missed) else {
            continue;
        };
        let mut changed = floor.clone();
        let good = ready + floor.keeps[product].0;
        changed.ready[product].push(ReadyKeg {
            at: ready,
            keg,
            good,
        });
        let keg_type = &context.scenario.setup.keg_types[keg];
        all.push(Candidate {
            what: format!("one spare {} of {}", keg_type.id, made.id),
            cost: keg_cost(context.recipes, context.scenario, product, keg),
            floor: changed,
        });
    }
    all
}

/// What one more keg costs: heat, ice, hands, CO2 and its wash, by the cheapest ways.
fn keg_cost(recipes: &Recipes, scenario: &Scenario, product: usize, keg: usize) -> f64 {
    let costs = &scenario.setup.costs;
    let litres = scenario.setup.keg_types[keg].fill_l.litres();
    let water = recipes.boils.iter().map(|boil| {
        let ice = recipes.water[boil.route].ice_kg() * costs.ice_per_kg.amount();
        boil.kwh_per_litre * costs.heat_per_kwh.amount() + ice
    });
    let water = water.fold(f64::INFINITY, f64::min).min(1e3) * litres;
    let ways = recipes
        .gassings
        .iter()
        .filter(|g| (g.product, g.keg) == (product, keg));
    let hour = costs.hands_per_h.amount() / 60.0;
    let gas = ways.map(|gas| {
        let hands = (gas.attended_minutes + gas.uncouple_minutes) * hour;
        gas.co2_kg * costs.co2_per_kg.amount() + hands
    });
    let gas = gas.fold(f64::INFINITY, f64::min).min(1e3);
    let crew = scenario.setup.crew.fill_keg_min.minutes() * hour;
    let wash = scenario.setup.wash.hands_min.minutes() * hour + costs.wash_per_keg.amount();
    water + gas + crew + wash
}
