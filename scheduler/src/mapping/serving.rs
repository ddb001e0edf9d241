//! Services: kegs go on tap, demand is poured from them, empty kegs come back.

use super::gassing::Ready;
use super::open::OpenKegs;
use super::worth::{loss_per_litre, poured_for};
use super::{Builder, Kegs, Perishable, Shared, Work, supplies, under_way, worth_per_litre};
use crate::network::{Count, Resource, ResourceId, Task};

/// A product on tap in one keg type.
struct Tap {
    product: usize,
    keg: usize,
    /// Litres in tapped kegs.
    litres: Perishable,
    /// Litres that have left tapped kegs whose empties have not come back yet.
    drained: ResourceId,
    /// What is left in kegs that reach their time at a point: no more is poured away then.
    expiring: ResourceId,
    /// What must be poured away at once; none where nothing on tap is too old at the start.
    too_old: Option<ResourceId>,
    /// Litres one keg yields.
    yields: f64,
    /// Steps a tapped keg is good for.
    life: usize,
}

pub(super) fn add(builder: &mut Builder<'_>, shared: &Shared, kegs: &Kegs, ready: &Ready) {
    let taps = add_taps(builder);
    let services = services(builder);
    for tap in &taps {
        let due = services_of(builder, &services, tap.product);
        add_tapping(builder, shared, ready, tap, &due);
        add_stale(builder, tap, &due);
        add_returns(builder, kegs, tap);
    }
    for (line, step) in services {
        add_service(builder, &taps, line, step);
    }
}

/// Lines of demand and the step at which each is due, in an order that does not depend on the one
/// they are given in: how quickly a plan is found, and which of those that are worth the same, does
/// depend on the order of the program.
fn services(builder: &Builder<'_>) -> Vec<(usize, usize)> {
    let last = builder.steps();
    let step = |due: chrono::DateTime<chrono::FixedOffset>| {
        builder.timeline.step_of(due.to_utc()).map(|t| t.min(last))
    };
    let scenario = builder.scenario;
    let lines = scenario.demand.iter().enumerate();
    let services = lines.filter_map(|(n, line)| Some((n, step(line.due)?)));
    let mut services: Vec<(usize, usize)> = services.collect();
    services.sort_by_key(|(n, step)| {
        let line = &scenario.demand[*n];
        let product = scenario.index().product(&line.product);
        (*step, product, &line.id)
    });
    services
}

fn services_of(builder: &Builder<'_>, services: &[(usize, usize)], product: usize) -> Vec<usize> {
    let id = &builder.scenario.setup.products[product].id;
    let lines = poured_for(builder.scenario, id);
    let mut steps: Vec<usize> = services
        .iter()
        .filter(|(line, _)| lines.binary_search(line).is_ok())
        .map(|(_, step)| *step)
        .collect();
    steps.sort_unstable();
    steps.dedup();
    steps
}

fn add_taps(builder: &mut Builder<'_>) -> Vec<Tap> {
    let scenario = builder.scenario;
    let timeline = builder.timeline;
    let loss = scenario.policy.serving_loss.ratio();
    let mut taps = Vec::new();
    for (p, product) in scenario.setup.products.iter().enumerate() {
        for (k, keg) in scenario.setup.keg_types.iter().enumerate() {
            let name = format!("{} in {}", product.id, keg.id);
            let yields = keg.fill_l.litres() * (1.0 - loss);
            let open = OpenKegs::of(scenario, (product, keg), yields);
            let left: f64 = open.kegs.iter().map(|k| k.litres).sum();
            let step_hours = timeline.step_minutes() / 60.0;
            let level = Resource::named(format!("on tap {name}"))
                .starting(left)
                .worth(-super::ON_TAP_PER_LITRE_HOUR * step_hours);
            let litres = builder.perishable(level);
            for keg in &open.kegs {
                if let Some(step) = supplies::expiry(timeline, keg.good_until) {
                    let account = builder.net.resource_mut(litres.account);
                    account.supply(step, -keg.litres);
                }
            }
            let too_old = open.too_old(timeline);
            let too_old = (too_old > 0.0).then(|| {
                let named = format!("too old on tap {name}");
                builder.owed(Resource::named(named).starting(-too_old))
            });
            let expiring = open.expiring(timeline, builder.steps());
            let expiring = Resource::named(format!("expiring {name}")).renewed(&expiring);
            let mut drained = Resource::named(format!("drained {name}"));
            for (step, litres) in open.drained(timeline, yields) {
                drained.supply(step, litres);
            }
            for (t, kegs) in under_way::at_bar(scenario, timeline, (product, keg)) {
                drained.supply(t, kegs * yields);
            }
            taps.push(Tap {
                too_old,
                product: p,
                keg: k,
                litres,
                expiring: builder.resource(expiring),
                drained: builder.resource(drained),
                yields,
                life: (product.on_tap_h.hours() * 60.0 / timeline.step_minutes()) as usize,
            });
        }
    }
    taps
}

/// A keg is tapped only when it is wanted, at a service it may be poured for.
fn add_tapping(
    builder: &mut Builder<'_>,
    shared: &Shared,
    ready: &Ready,
    tap: &Tap,
    due: &[usize],
) {
    let setup = &builder.scenario.setup;
    let (product, keg) = (&setup.products[tap.product], &setup.keg_types[tap.keg]);
    for (s, store) in setup.cold_stores.iter().enumerate() {
        let Some(kegs) = ready.of(tap.product, tap.keg, s) else {
            continue;
        };
        if !builder.recipes.may_be_served(tap.product, tap.keg, s) {
            continue;
        }
        let push = builder.recipes.push_kg(tap.product, tap.keg, s);
        let most = f64::from(store.places) / keg.places.places();
        let name = format!("tap {} {} from {}", product.id, keg.id, store.id);
        let task = Task::named(name, Count::Whole)
            .up_to_at(most.floor(), due.iter().copied())
            .per_start(shared.places[s], 0, keg.places.places())
            .per_start(shared.co2, 0, -push)
            .worth(-push * setup.costs.co2_per_kg.amount());
        let task = kegs.taken(task, 1.0);
        let task = tap.litres.brought(task, 0, tap.life, tap.yields);
        let task = task.per_start(tap.expiring, tap.life, tap.yields);
        let work = Work::Tap {
            product: tap.product,
            keg: tap.keg,
            store: s,
        };
        builder.task(task, work);
    }
}

/// What has been on tap too long is poured away.
fn add_stale(builder: &mut Builder<'_>, tap: &Tap, due: &[usize]) {
    let setup = &builder.scenario.setup;
    let (product, keg) = (&setup.products[tap.product], &setup.keg_types[tap.keg]);
    let open = OpenKegs::of(builder.scenario, (product, keg), tap.yields);
    let mut points: Vec<usize> = open
        .kegs
        .iter()
        .filter_map(|keg| supplies::expiry(builder.timeline, keg.good_until))
        .collect();
    points.extend(due.iter().map(|t| t + tap.life));
    points.retain(|t| *t <= builder.steps());
    if points.is_empty() {
        return;
    }
    let task = Task::named(format!("stale {} in {}", product.id, keg.id), Count::Any)
        .up_to_at(1.0, points)
        .sized(0.0, 10_000.0)
        .per_size(tap.expiring, 0, -1.0)
        .per_size(tap.drained, 0, 1.0);
    let task = match tap.too_old {
        Some(too_old) => task.per_size(too_old, 0, 1.0),
        None => task,
    };
    let task = tap.litres.taken_by_size(task);
    let work = Work::Stale {
        product: tap.product,
        keg: tap.keg,
    };
    builder.task(task, work);
}

/// Emptied kegs come back dirty, when somebody is there to take them in.
fn add_returns(builder: &mut Builder<'_>, kegs: &Kegs, tap: &Tap) {
    let setup = &builder.scenario.setup;
    let (product, keg) = (&setup.products[tap.product], &setup.keg_types[tap.keg]);
    let firsts = supplies::first_steps(&builder.hands, builder.timeline);
    let task = Task::named(format!("return {} of {}", keg.id, product.id), Count::Whole)
        .up_to_at(1000.0, firsts)
        .per_start(tap.drained, 0, -tap.yields)
        .per_start(kegs.dirty[tap.keg], 0, 1.0);
    let work = Work::Return {
        product: tap.product,
        keg: tap.keg,
    };
    builder.task(task, work);
}

/// A line of demand is poured from any keg type of its product, or of one that may stand in for it,
/// up to the litres wanted.
fn add_service(builder: &mut Builder<'_>, taps: &[Tap], line: usize, step: usize) {
    let demand = &builder.scenario.demand[line];
    let wanted = demand.litres.litres();
    let hours = builder.scenario.policy.service_h.hours();
    let service = builder.timeline.steps_for(hours * 60.0);
    let mut want = Resource::named(format!("wanted {}", demand.id));
    want.supply(step, wanted);
    let want = builder.resource(want);
    let worth = worth_per_litre(builder.scenario, demand);
    let product = &demand.product;
    for tap in taps {
        let poured = &builder.scenario.setup.products[tap.product].id;
        let Some(loss) = loss_per_litre(builder.scenario, product, poured) else {
            continue;
        };
        let keg = &builder.scenario.setup.keg_types[tap.keg].id;
        let name = if poured == product {
            format!("serve {} from {keg}", demand.id)
        } else {
            format!("serve {} from {keg} of {poured}", demand.id)
        };
        let task = Task::named(name, Count::Any)
            .up_to_at(1.0, [step])
            .sized(0.0, wanted)
            .per_size(want, 0, -1.0)
            .per_size(tap.drained, service, 1.0)
            .worth_per_size(worth - loss);
        let task = tap.litres.taken_by_size(task);
        let work = Work::Serve {
            line,
            product: tap.product,
            keg: tap.keg,
        };
        builder.task(task, work);
    }
}
