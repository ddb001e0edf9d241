//! Gassing: from cold kegs of water to kegs of a product, ready for service.

use chrono::{DateTime, Duration, Utc};

use super::water::Cold;
use super::{Builder, Kegs, Perishable, Scarce, Shared, Work, calendar, supplies, under_way};
use crate::network::{Count, Resource, ResourceId, Task};
use crate::recipe::{GasRecipe, goes_into};
use crate::scenario::{Equipment, GasMethod, Product, ReadyKegs};

/// Kegs ready for service.
pub(super) struct Ready {
    /// By product, keg type and store: where they stand.
    pub stocks: Vec<ReadyStock>,
}

/// Kegs of one product and type in one store.
pub(super) struct ReadyStock {
    pub product: usize,
    pub keg: usize,
    pub store: usize,
    pub kegs: Perishable,
    /// What must be discarded at once; none where nothing is too old at the start.
    pub too_old: Option<ResourceId>,
}

impl Ready {
    pub(super) fn of(&self, product: usize, keg: usize, store: usize) -> Option<Perishable> {
        let found = |s: &&ReadyStock| (s.product, s.keg, s.store) == (product, keg, store);
        self.stocks.iter().find(found).map(|s| s.kegs)
    }

    /// Levels by product and keg type, over all stores.
    pub(super) fn totals(&self) -> Vec<(usize, usize, Vec<ResourceId>)> {
        let mut totals: Vec<(usize, usize, Vec<ResourceId>)> = Vec::new();
        for stock in &self.stocks {
            let key = (stock.product, stock.keg);
            match totals.iter_mut().find(|(p, k, _)| (*p, *k) == key) {
                Some((_, _, levels)) => levels.push(stock.kegs.level),
                None => totals.push((stock.product, stock.keg, vec![stock.kegs.level])),
            }
        }
        totals
    }
}

pub(super) fn add(builder: &mut Builder<'_>, shared: &Shared, kegs: &Kegs, cold: &Cold) -> Ready {
    let connections = add_connections(builder);
    let ready = add_ready(builder);
    let recipes = builder.recipes;
    for (n, recipe) in recipes.gassings.iter().enumerate() {
        for stock in &ready.stocks {
            if (stock.product, stock.keg, stock.store) == (recipe.product, recipe.keg, recipe.store)
            {
                let connection = connections[recipe.station];
                let from = cold[recipe.keg][stock.store];
                let way = Gassing {
                    n,
                    recipe,
                    stock,
                    connection,
                    from,
                };
                way.add(builder, shared);
            }
        }
    }
    for stock in &ready.stocks {
        add_discard(builder, shared, kegs, stock);
    }
    ready
}

fn add_connections(builder: &mut Builder<'_>) -> Vec<ResourceId> {
    let stations = &builder.scenario.setup.gas_stations;
    let mut resources = Vec::new();
    for (n, station) in stations.iter().enumerate() {
        let mut free = Resource::named(format!("connections of {}", station.id))
            .starting(f64::from(station.connections));
        for (t, change) in under_way::connections(builder.scenario, builder.timeline, &station.id) {
            free.supply(t, change);
        }
        let station = station.id.clone();
        let all = free.initial;
        let lost = builder.lost(&Equipment::Connections { station }, all);
        calendar::lose(&mut free, &lost);
        resources.push(builder.resource(free));
        builder.limit(Scarce::Connections(n), resources[n]);
    }
    resources
}

fn add_ready(builder: &mut Builder<'_>) -> Ready {
    let setup = &builder.scenario.setup;
    let mut stocks = Vec::new();
    for p in 0..setup.products.len() {
        for k in 0..setup.keg_types.len() {
            for s in 0..setup.cold_stores.len() {
                stocks.extend(ready_stock(builder, (p, k, s)));
            }
        }
    }
    Ready { stocks }
}

/// The kegs of one product and type standing ready in one store; none if there never are any.
fn ready_stock(builder: &mut Builder<'_>, (p, k, s): (usize, usize, usize)) -> Option<ReadyStock> {
    let (scenario, timeline) = (builder.scenario, builder.timeline);
    let setup = &scenario.setup;
    let (product, keg, store) = (
        &setup.products[p],
        &setup.keg_types[k],
        &setup.cold_stores[s],
    );
    let here =
        |r: &&ReadyKegs| (&r.product, &r.keg_type, &r.store) == (&product.id, &keg.id, &store.id);
    let standing: Vec<_> = scenario.stock.ready.iter().filter(here).collect();
    let mut recipes = builder.recipes.gassings.iter();
    let made = goes_into(product, keg) && recipes.any(|g| (g.product, g.keg, g.store) == (p, k, s));
    let gassing = under_way::gassing(scenario, timeline, (product, keg, store));
    if !made && standing.is_empty() && gassing.is_empty() {
        return None;
    }
    let hour_cost = super::STANDING_PER_HOUR * timeline.step_minutes() / 60.0;
    let count: f64 = standing.iter().map(|r| f64::from(r.kegs)).sum();
    let name = format!("ready {} {} in {}", product.id, keg.id, store.id);
    let level = Resource::named(name).starting(count).worth(-hour_cost);
    let kegs = builder.perishable(level);
    let mut old = 0.0;
    for r in standing {
        let until = good_until(product, r);
        if let Some(t) = supplies::expiry(timeline, until) {
            let account = builder.net.resource_mut(kegs.account);
            account.supply(t, -f64::from(r.kegs));
        }
        if until < timeline.start() {
            old += f64::from(r.kegs);
        }
    }
    let too_old = (old > 0.0).then(|| {
        let name = format!("too old {} {} in {}", product.id, keg.id, store.id);
        builder.owed(Resource::named(name).starting(-old))
    });
    for (at, ready) in gassing {
        let level = builder.net.resource_mut(kegs.level);
        level.supply(timeline.step_from(at), ready);
        if let Some(t) = supplies::expiry(timeline, at + shelf_life(product)) {
            builder.net.resource_mut(kegs.account).supply(t, -ready);
        }
    }
    Some(ReadyStock {
        product: p,
        keg: k,
        store: s,
        kegs,
        too_old,
    })
}

/// A way of gassing.
struct Gassing<'a> {
    /// Position of its recipe.
    n: usize,
    recipe: &'a GasRecipe,
    /// What it brings.
    stock: &'a ReadyStock,
    connection: ResourceId,
    /// Cold kegs of water.
    from: ResourceId,
}

impl Gassing<'_> {
    fn add(self, builder: &mut Builder<'_>, shared: &Shared) {
        let Self {
            n,
            recipe,
            stock,
            connection,
            from,
        } = self;
        let setup = &builder.scenario.setup;
        let station = &setup.gas_stations[recipe.station];
        let product = &setup.products[recipe.product];
        let timeline = builder.timeline;
        let length = timeline.steps_for(recipe.minutes).max(1);
        let life = (product.shelf_days.days() * 1440.0 / timeline.step_minutes()) as usize;
        let mut needs = builder.attended(0, recipe.attended_minutes);
        needs.extend(builder.attended(length, recipe.uncouple_minutes));
        let mut starts = builder.attended_starts(&needs, length);
        if matches!(station.method, GasMethod::Shaken { .. }) {
            starts.retain(|t| builder.calendar.may_shake(*t, length));
        }
        let store_id = &setup.cold_stores[stock.store].id;
        let keg_id = &setup.keg_types[recipe.keg].id;
        let name = format!(
            "gas {} {keg_id} on {} for {length} in {store_id}",
            product.id, station.id
        );
        let task = Task::named(name, Count::Whole)
            .up_to_at(f64::from(station.connections), starts)
            .per_start(from, 0, -1.0)
            .holding(connection, length, 1.0)
            .per_start(shared.co2, 0, -recipe.co2_kg);
        let task = match shared.blankets[stock.store] {
            Some(connections) => task.per_start(connections, 0, 1.0),
            None => task,
        };
        let task = stock.kegs.brought(task, length, life, 1.0);
        let task = builder.with_ingredients(task, &shared.materials, recipe);
        let (task, hands) = builder.with_hands(task, shared.hands, &needs);
        let gas = recipe.co2_kg * setup.costs.co2_per_kg.amount();
        let work = Work::Gas {
            recipe: n,
            store: stock.store,
        };
        builder.task(task.worth(-hands - gas), work);
    }
}

/// Until when kegs that stand ready at the start are good.
pub(crate) fn good_until(product: &Product, kegs: &ReadyKegs) -> DateTime<Utc> {
    kegs.gassed_at.to_utc() + shelf_life(product)
}

pub(crate) fn shelf_life(product: &Product) -> Duration {
    Duration::seconds((product.shelf_days.days() * 86_400.0) as i64)
}

/// A keg past its shelf life is emptied and comes back dirty.
fn add_discard(builder: &mut Builder<'_>, shared: &Shared, kegs: &Kegs, stock: &ReadyStock) {
    let setup = &builder.scenario.setup;
    let timeline = builder.timeline;
    let product = &setup.products[stock.product];
    let life = product.shelf_days.days() * 24.0;
    let horizon_hours = (timeline.end() - timeline.start()).as_seconds_f64() / 3600.0;
    let mut points: Vec<usize> = builder
        .scenario
        .stock
        .ready
        .iter()
        .filter(|r| r.product == product.id)
        .filter_map(|r| supplies::expiry(timeline, good_until(product, r)))
        .collect();
    if life < horizon_hours {
        points.extend((0..builder.steps()).filter(|t| builder.hands[*t] > 0.0));
    }
    if points.is_empty() {
        return;
    }
    let keg = &setup.keg_types[stock.keg];
    let store = &setup.cold_stores[stock.store];
    let name = format!("discard {} {} in {}", product.id, keg.id, store.id);
    let most = f64::from(store.places) / keg.places.places() + 1e-9;
    let task = Task::named(name, Count::Whole)
        .up_to_at(most.floor().max(1.0), points)
        .per_start(kegs.dirty[stock.keg], 0, 1.0)
        .per_start(shared.places[stock.store], 0, keg.places.places());
    let task = match stock.too_old {
        Some(too_old) => task.per_start(too_old, 0, 1.0),
        None => task,
    };
    let task = stock.kegs.taken(task, 1.0);
    let work = Work::Discard {
        product: stock.product,
        keg: stock.keg,
        store: stock.store,
    };
    builder.task(task, work);
}
