//! Washing kegs and buying ice.

use super::{Builder, Kegs, Scarce, Shared, Work, supplies, under_way};
use crate::network::{Count, Resource, Task};

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
    let station = builder.resource(station);
    builder.limit(Scarce::Washing, station);
    let length = builder
        .timeline
        .steps_for(setup.wash.minutes.minutes())
        .max(1);
    let needs = builder.attended(0, setup.wash.hands_min.minutes());
    let starts = builder.attended_starts(&needs, length);
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

/// Ice is delivered when the day's first shift starts, if it was ordered in time.
fn add_ice(builder: &mut Builder<'_>, shared: &Shared) {
    let Some(purchase) = &builder.scenario.setup.ice.purchase else {
        return;
    };
    let lead = builder.timeline.steps_for(purchase.lead_min.minutes());
    let arrivals: Vec<usize> = supplies::first_steps(&builder.hands, builder.timeline)
        .into_iter()
        .filter(|t| *t >= lead)
        .collect();
    if arrivals.is_empty() {
        return;
    }
    let task = Task::named("ice delivered", Count::Any)
        .up_to_at(1.0, arrivals)
        .sized(0.0, purchase.largest_kg.kilograms())
        .per_size(shared.ice, 0, 1.0)
        .worth_per_size(-purchase.price_per_kg.amount());
    builder.task(task, Work::BuyIce);
}
