//! Washing kegs and buying ice.

use super::{Builder, Kegs, Scarce, Shared, Work, calendar, supplies, under_way};
use crate::network::{Count, Resource, Task};
use crate::scenario::{Equipment, IcePurchase};

pub(super) fn add(builder: &mut Builder<'_>, shared: &Shared, kegs: &Kegs) {
    add_washing(builder, shared, kegs);
    add_ice(builder, shared);
}

fn add_washing(builder: &mut Builder<'_>, shared: &Shared, kegs: &Kegs) {
    let setup = &builder.scenario.setup;
    let stations = f64::from(setup.wash.stations);
    let mut station = Resource::named("washing stations").starting(stations);
    for (t, change) in under_way::stations(builder.scenario, builder.timeline) {
        station.supply(t, change);
    }
    let lost = builder.lost(&Equipment::Washing, stations);
    calendar::lose(&mut station, &lost);
    let station = builder.resource(station);
    builder.limit(Scarce::Washing, station);
    let length = builder
        .timeline
        .steps_for(setup.wash.minutes.minutes())
        .max(1);
    let needs = builder.attended(0, setup.wash.hands_min.minutes());
    let mut starts = builder.attended_starts(&needs, length);
    starts.retain(|t| builder.calendar.may_wash(*t, length));
    for (k, keg) in setup.keg_types.iter().enumerate() {
        let task = Task::named(format!("wash {}", keg.id), Count::Whole)
            .up_to_at(stations, starts.iter().copied())
            .per_start(kegs.dirty[k], 0, -1.0)
            .per_start(kegs.clean[k], length, 1.0)
            .holding(station, length, 1.0);
        let (task, cost) = builder.with_hands(task, shared.hands, &needs);
        let task = task.worth(-cost - setup.costs.wash_per_keg.amount());
        builder.task(task, Work::Wash { keg: k });
    }
}

/// Ice is delivered at the times its supplier keeps, or when the day's first shift starts, if it
/// was ordered in time.
fn add_ice(builder: &mut Builder<'_>, shared: &Shared) {
    let Some(purchase) = &builder.scenario.setup.ice.purchase else {
        return;
    };
    let lead = builder.timeline.steps_for(purchase.lead_min.minutes());
    let mut arrivals = arrivals(builder, purchase);
    arrivals.retain(|t| *t >= lead);
    if arrivals.is_empty() {
        return;
    }
    // Only a fee makes the number of deliveries matter.
    let (count, fee) = match purchase.fee {
        Some(fee) if fee.amount() > 0.0 => (Count::Whole, fee.amount()),
        _ => (Count::Any, 0.0),
    };
    let task = Task::named("ice delivered", count)
        .up_to_at(1.0, arrivals)
        .sized(0.0, purchase.largest_kg.kilograms())
        .per_size(shared.ice, 0, 1.0)
        .worth(-fee)
        .worth_per_size(-purchase.price_per_kg.amount());
    builder.task(task, Work::BuyIce);
}

/// Steps at which ice can be taken in.
fn arrivals(builder: &Builder<'_>, purchase: &IcePurchase) -> Vec<usize> {
    if purchase.delivered.is_empty() {
        return supplies::first_steps(&builder.hands, builder.timeline);
    }
    let timeline = builder.timeline;
    let closed = &builder.scenario.setup.crew.closed;
    let mut steps = Vec::new();
    for time in &purchase.delivered {
        for at in timeline.daily(|day| time.days.contains(&day.into()), time.at) {
            if !closed.contains(&timeline.local(at).date_naive()) {
                let after = (at - timeline.start()).num_seconds() as f64 / 60.0;
                if after >= 0.0 {
                    steps.push(timeline.steps_for(after));
                }
            }
        }
    }
    let mut steps = builder.staffed(steps);
    steps.sort_unstable();
    steps.dedup();
    steps
}
