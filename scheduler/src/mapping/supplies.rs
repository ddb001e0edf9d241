//! What comes and goes by itself: hands by shift, ice from the machine and to the bar, and what a
//! cold store has room and power for.

use chrono::{DateTime, Datelike, NaiveDate, NaiveTime, Timelike, Utc};

use crate::check::Checked;
use crate::network::Resource;
use crate::recipe::StandingKegs;
use crate::scenario::{Crew, KegTypeId, Shift};
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
    // A break that a clock change swallows takes nothing.
    minutes.iter().map(|free| free.max(0.0)).collect()
}

/// Every shift inside the horizon, and its breaks with hands below zero: from, to, hands. Only full
/// minutes count.
fn shifts<'a>(
    crew: &'a Crew,
    timeline: &'a Timeline,
) -> impl Iterator<Item = (DateTime<Utc>, DateTime<Utc>, i32)> + 'a {
    let open = || timeline.dates().filter(|day| !crew.closed.contains(day));
    let works = |shift: &Shift, day: &NaiveDate| shift.days.contains(&day.weekday().into());
    crew.shifts.iter().flat_map(move |shift| {
        let hands = i32::from(shift.hands);
        let pauses = shift.breaks.iter().map(move |b| (b.from, b.to, -hands));
        let times: Vec<_> = [(shift.from, shift.to, hands)]
            .into_iter()
            .chain(pauses)
            .collect();
        open()
            .filter(move |day| works(shift, day))
            .flat_map(move |day| {
                let at = move |time: NaiveTime| timeline.instant(day, full_minute(time));
                let times = times.clone().into_iter();
                times.map(move |(from, to, hands)| (at(from), at(to), hands))
            })
    })
}

fn full_minute(time: NaiveTime) -> NaiveTime {
    let minute = time.with_second(0).and_then(|t| t.with_nanosecond(0));
    minute.unwrap_or(time)
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

/// Places and cooling power of a store, less what the kegs that stand there at the start take.
pub(super) fn store(
    (scenario, timeline): (&Checked, &Timeline),
    s: usize,
    warm: &StandingKegs,
) -> (Resource, Resource) {
    let store = &scenario.setup.cold_stores[s];
    let standing = &scenario.stock;
    let keg = |id: &KegTypeId| scenario.setup.keg_types.iter().find(|k| k.id == *id);
    let filled = standing.filled.iter().filter(|f| f.store == store.id);
    let ready = standing.ready.iter().filter(|r| r.store == store.id);
    let gassing = standing.under_way.gassing.iter();
    let gassing = gassing.filter(|g| g.store == store.id);
    let taken: f64 = filled
        .map(|f| (&f.keg_type, f.kegs))
        .chain(ready.map(|r| (&r.keg_type, r.kegs)))
        .chain(gassing.map(|g| (&g.keg_type, g.kegs)))
        .filter_map(|(id, kegs)| Some(keg(id)?.places.places() * f64::from(kegs)))
        .sum();
    let places = Resource::named(format!("places in {}", store.id))
        .starting((f64::from(store.places) - taken).max(0.0));
    let mut power =
        Resource::named(format!("cooling of {}", store.id)).starting(store.cooling_w.watts());
    let warm_steps = warm.warm_steps;
    if warm_steps > 0 {
        power.supply(0, -store.cooling_w.watts());
        power.supply(warm_steps, store.cooling_w.watts());
    }
    for (n, cooling) in &warm.groups {
        let kegs = f64::from(standing.filled[*n].kegs);
        let mut before = 0.0;
        let watts = cooling.iter().flat_map(|c| &c.watts);
        for (t, watts) in watts.chain([&0.0]).enumerate() {
            power.supply(warm_steps + t, (before - watts) * kegs);
            before = *watts;
        }
    }
    // What stands there at the start is a fact, even where it is too much for the store.
    let least = least_levels(&power, timeline.steps() + 1);
    (places, power.at_least(least))
}

/// The least level to ask for at each point: none below zero, but for what the start brings.
pub(super) fn least_levels(resource: &Resource, points: usize) -> Vec<f64> {
    let mut level = resource.initial;
    (0..points)
        .map(|t| {
            level += resource.supply.get(&t).copied().unwrap_or(0.0);
            level.min(0.0)
        })
        .collect()
}

/// Steps from the start of the plan until `until`; none if that is past its end.
pub(super) fn expiry(timeline: &Timeline, until: DateTime<Utc>) -> Option<usize> {
    if until >= timeline.end() {
        return None;
    }
    Some(timeline.step_of(until).unwrap_or(0))
}
