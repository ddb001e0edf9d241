//! The ice bin: filled by the machine while it runs, drawn by the bar first, overflowing when full.

use std::collections::BTreeMap;

use super::calendar::ice_machine_runs;
use crate::network::Resource;
use crate::scenario::{Scenario, Weekday};
use crate::timeline::Timeline;

/// The bin as a resource.
pub(super) fn bin(scenario: &Scenario, timeline: &Timeline) -> Resource {
    let ice = &scenario.setup.ice;
    let start = scenario.stock.ice_kg.kilograms();
    let size = ice.bin_kg.kilograms().max(start);
    let flows = Flows::of(scenario, timeline, size);
    let steps = timeline.steps();
    let made = |t: usize| flows.made.get(t).copied().unwrap_or(0.0);
    // What a step makes comes before what it uses, and must find room: so the level left by a
    // step is below the bin's size by what the next step makes.
    let room: Vec<f64> = (0..=steps)
        .map(|t| (size - made(t + 1).max(flows.before_bar[t])).max(0.0))
        .collect();
    let usual = (size - made(1)).max(0.0);
    let steady = room[..steps].iter().all(|r| (r - usual).abs() < 1e-12);
    let mut resource = Resource::named("ice").starting(start).spilling();
    resource = if steady {
        resource.at_most(usual)
    } else {
        resource.at_most(room)
    };
    for t in 0..=steps {
        if t > 0 {
            resource.supply(t, flows.made[t]);
        }
        if flows.drawn[t] > 0.0 {
            resource.supply(t, -flows.drawn[t]);
        }
    }
    resource
}

/// What comes into the bin and what the bar takes, by point.
struct Flows {
    made: Vec<f64>,
    drawn: Vec<f64>,
    /// Room that must be there besides what a step leaves, so that what the machine makes in the
    /// step before the bar comes finds room.
    before_bar: Vec<f64>,
}

impl Flows {
    /// The bar cannot take more than there would be if soda took nothing.
    ///
    /// What it takes within a step is taken at the step's start, as far as it was there then. What
    /// the machine makes in that step before the bar comes must find room; where it does not even
    /// if soda takes nothing, it counts only as far as the bar takes it.
    fn of(scenario: &Scenario, timeline: &Timeline, size: f64) -> Self {
        let runs = ice_machine_runs(scenario, timeline);
        let per_minute = scenario.setup.ice.rate_kg_per_h.kilograms_per_hour() / 60.0;
        let draws = bar_draws(scenario, timeline);
        let step = timeline.step_minutes() as usize;
        let (mut made, mut drawn) = (
            vec![0.0; timeline.steps() + 1],
            vec![0.0; timeline.steps() + 1],
        );
        let (mut later, mut before_bar) = (made.clone(), made.clone());
        let mut alone = scenario.stock.ice_kg.kilograms();
        let (mut at_start, mut full) = (alone, false);
        for minute in 0..=runs.len() {
            if minute > 0 && runs[minute - 1] {
                full |= alone + per_minute > size + 1e-9;
                alone = (alone + per_minute).min(size);
                made[minute.div_ceil(step)] += per_minute;
            }
            let (t, within) = (minute / step, minute % step);
            if within == 0 {
                at_start = alone;
                full = false;
            }
            let Some(wanted) = draws.get(&minute) else {
                continue;
            };
            let taken = wanted.min(alone);
            alone -= taken;
            let now = taken.min(at_start);
            at_start -= now;
            drawn[t] += now;
            if within > 0 {
                later[t + 1] += taken - now;
                drawn[t + 1] += taken - now;
                if full {
                    made[t + 1] = f64::min(made[t + 1], later[t + 1]);
                } else {
                    before_bar[t] = made[t + 1] + now;
                }
                // With another draw in the same step what was kept free for this one is unknown.
                full = true;
            }
        }
        Self {
            made,
            drawn,
            before_bar,
        }
    }
}

/// What the bar wants, by minute.
fn bar_draws(scenario: &Scenario, timeline: &Timeline) -> BTreeMap<usize, f64> {
    let mut draws = BTreeMap::new();
    for draw in &scenario.setup.ice.bar_draw {
        let days = &draw.days;
        for at in timeline.daily(|day| days.contains(&Weekday::from(day)), draw.at) {
            let minute = (at - timeline.start()).num_seconds().div_euclid(60);
            if let Ok(minute) = usize::try_from(minute) {
                *draws.entry(minute).or_insert(0.0) += draw.kg.kilograms();
            }
        }
    }
    draws
}
