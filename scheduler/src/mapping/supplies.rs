//! What comes and goes by itself: hands by shift, ice from the machine and to the bar, and what a
//! cold store has room and power for.

use chrono::{DateTime, Duration, Utc};
use model::Temperature;

use super::under_way;
use crate::network::Resource;
use crate::recipe::CoolRecipe;
use crate::scenario::{Checked, Crew, KegTypeId, Scenario, Weekday};
use crate::timeline::Timeline;

/// Minutes of hands in each step, from the weekly pattern and the site's clock.
pub(crate) fn hand_minutes(crew: &Crew, timeline: &Timeline) -> Vec<f64> {
    let mut minutes = vec![0.0; timeline.steps()];
    for (from, to, hands) in shifts(crew, timeline) {
        for (t, free) in minutes.iter_mut().enumerate() {
            let (start, end) = (timeline.at(t).max(from), timeline.at(t + 1).min(to));
            if end > start {
                *free += (end - start).as_seconds_f64() / 60.0 * f64::from(hands);
            }
        }
    }
    minutes
}

/// Every shift inside the horizon: from, to, hands.
fn shifts<'a>(
    crew: &'a Crew,
    timeline: &'a Timeline,
) -> impl Iterator<Item = (DateTime<Utc>, DateTime<Utc>, u16)> + 'a {
    crew.shifts.iter().flat_map(move |shift| {
        timeline
            .dates()
            .filter(|day| !crew.closed.contains(day))
            .filter(|day| {
                shift
                    .days
                    .contains(&Weekday::from(chrono::Datelike::weekday(day)))
            })
            .map(|day| {
                let (from, to) = (
                    timeline.instant(day, shift.from),
                    timeline.instant(day, shift.to),
                );
                (from, to, shift.hands)
            })
    })
}

/// First step of each day's work, at which deliveries are taken in.
pub(crate) fn first_steps(hands: &[f64], timeline: &Timeline) -> Vec<usize> {
    let mut last_day = None;
    let mut firsts = Vec::new();
    for (t, free) in hands.iter().enumerate() {
        let day = timeline.local(timeline.at(t)).date_naive();
        if *free > 0.0 && last_day != Some(day) {
            last_day = Some(day);
            firsts.push(t);
        }
    }
    firsts
}

/// The ice bin: filled by the machine, drawn by the bar first, overflowing when full.
pub(super) fn ice_bin(scenario: &Scenario, timeline: &Timeline) -> Resource {
    let ice = &scenario.setup.ice;
    let made = ice.rate_kg_per_h.kilograms_per_hour() * timeline.step_minutes() / 60.0;
    let bin = ice
        .bin_kg
        .kilograms()
        .max(scenario.stock.ice_kg.kilograms());
    // What a step makes comes before what it uses, and must find room: so the level left by a
    // step is below the bin's size by one step's making.
    let mut resource = Resource::named("ice")
        .starting(scenario.stock.ice_kg.kilograms())
        .at_most((bin - made).max(0.0))
        .spilling();
    let mut draws = bar_draws(scenario, timeline);
    draws.extend(under_way::ice(scenario, timeline));
    // The bar cannot take more than there would be if soda took nothing.
    let mut level = scenario.stock.ice_kg.kilograms();
    for t in 0..=timeline.steps() {
        if t > 0 {
            level = (level + made).min(bin);
            resource.supply(t, made);
        }
        let wanted: f64 = draws
            .iter()
            .filter(|(s, _)| *s == t)
            .map(|(_, kg)| kg)
            .sum();
        let brought = under_way::ice_coming(scenario, timeline, t);
        if brought > 0.0 {
            level = (level + brought).min(bin);
            resource.supply(t, brought);
        }
        let taken = wanted.min(level);
        if taken > 0.0 {
            level -= taken;
            resource.supply(t, -taken);
        }
    }
    resource
}

/// What the bar takes: step and kilograms.
fn bar_draws(scenario: &Scenario, timeline: &Timeline) -> Vec<(usize, f64)> {
    let mut draws = Vec::new();
    for draw in &scenario.setup.ice.bar_draw {
        let days = &draw.days;
        for at in timeline.daily(|day| days.contains(&Weekday::from(day)), draw.at) {
            if let Some(t) = timeline.step_of(at).filter(|t| *t < timeline.steps()) {
                draws.push((t, draw.kg.kilograms()));
            }
        }
    }
    draws
}

/// Places and cooling power of a store, less what the kegs that stand there at the start take.
pub(super) fn store(scenario: &Checked, timeline: &Timeline, s: usize) -> (Resource, Resource) {
    let store = &scenario.setup.cold_stores[s];
    let standing = &scenario.stock;
    let keg = |id: &KegTypeId| scenario.setup.keg_types.iter().find(|k| k.id == *id);
    let filled = standing.filled.iter().filter(|f| f.store == store.id);
    let ready = standing.ready.iter().filter(|r| r.store == store.id);
    let gassing = standing.under_way.gassing.iter();
    let gassing = gassing.filter(|g| g.store == store.id);
    let taken: f64 = filled
        .clone()
        .map(|f| (&f.keg_type, f.kegs))
        .chain(ready.map(|r| (&r.keg_type, r.kegs)))
        .chain(gassing.map(|g| (&g.keg_type, g.kegs)))
        .filter_map(|(id, kegs)| Some(keg(id)?.places.places() * f64::from(kegs)))
        .sum();
    let places = Resource::named(format!("places in {}", store.id))
        .starting((f64::from(store.places) - taken).max(0.0));
    let mut power =
        Resource::named(format!("cooling of {}", store.id)).starting(store.cooling_w.watts());
    for f in filled {
        let Some(keg_type) = keg(&f.keg_type) else {
            continue;
        };
        if let Ok(Some(cooling)) = CoolRecipe::of(scenario, keg_type, store, f.temperature_c) {
            let mut before = 0.0;
            for (t, watts) in cooling.watts.iter().chain([&0.0]).enumerate() {
                power.supply(t, (before - watts) * f64::from(f.kegs));
                before = *watts;
            }
        }
    }
    // What stands there at the start is a fact, even where it is too much for the store.
    let least = least_levels(&power, timeline.steps() + 1);
    (places, power.at_least(least))
}

/// The least level to ask for at each point: none below zero, but for what the start brings.
fn least_levels(resource: &Resource, points: usize) -> Vec<f64> {
    let mut level = resource.initial;
    (0..points)
        .map(|t| {
            level += resource.supply.get(&t).copied().unwrap_or(0.0);
            level.min(0.0)
        })
        .collect()
}

/// When a keg filled at `from` at the plan's start may be gassed, in steps.
pub(crate) fn cold_after(
    scenario: &Checked,
    timeline: &Timeline,
    (keg, store): (usize, usize),
    from: Temperature,
) -> Option<usize> {
    let setup = &scenario.setup;
    let (keg, store) = (&setup.keg_types[keg], &setup.cold_stores[store]);
    let cooling = CoolRecipe::of(scenario, keg, store, from).ok()??;
    Some(timeline.steps_for(cooling.minutes))
}

/// Steps from the start of the plan until `life` after `since`; none if that is past its end.
pub(super) fn expiry(timeline: &Timeline, since: DateTime<Utc>, life_hours: f64) -> Option<usize> {
    let life = Duration::seconds((life_hours * 3600.0) as i64);
    let until = since + life;
    if until >= timeline.end() {
        return None;
    }
    Some(timeline.step_of(until).unwrap_or(0))
}
