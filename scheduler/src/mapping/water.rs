//! Boils, chilling and filling: from tap water to cold kegs.

use super::{Builder, Kegs, Perishable, Scarce, Shared, Work, circuits, under_way};
use crate::network::{Count, Resource, ResourceId, Task};
use crate::recipe::{BoilRecipe, Recipes, blanket_kg, blanket_minutes};
use crate::scenario::{KegType, Scenario};
use crate::timeline::Timeline;

/// Cold kegs that are not yet gassed: `[keg type][store]`.
pub(super) type Cold = Vec<Vec<ResourceId>>;

/// Adds pots, water and cold kegs; the cold kegs, and the water of each route.
pub(super) fn add(
    builder: &mut Builder<'_>,
    shared: &Shared,
    kegs: &Kegs,
) -> (Cold, Vec<ResourceId>) {
    let pots = add_pots(builder);
    let circuits = circuits::add(builder);
    let cold = add_cold(builder);
    let mut waters = Vec::new();
    for route in 0..builder.scenario.setup.routes.len() {
        let window = drain_window(builder.scenario, builder.recipes, builder.timeline, route);
        let id = &builder.scenario.setup.routes[route].id;
        let water = builder.perishable(Resource::named(format!("water {id}")));
        under_way::water(builder, id, water);
        let recipes = builder.recipes;
        for (n, recipe) in recipes.boils.iter().enumerate() {
            if recipe.route == route {
                let way = Boiling {
                    n,
                    recipe,
                    pot: pots[recipe.pot],
                    circuit: circuits[recipe.pot],
                    water,
                    window,
                };
                way.add(builder, shared);
            }
        }
        add_dump(builder, route, water);
        add_fills(builder, shared, kegs, &cold, route, water);
        waters.push(water.level);
    }
    (cold, waters)
}

fn add_pots(builder: &mut Builder<'_>) -> Vec<ResourceId> {
    let pots = &builder.scenario.setup.pots;
    let mut resources = Vec::new();
    for (p, pot) in pots.iter().enumerate() {
        let mut free = Resource::named(format!("pot {}", pot.id))
            .starting(1.0)
            .at_most(1.0);
        for (t, change) in under_way::pot(builder.scenario, builder.timeline, &pot.id) {
            free.supply(t, change);
        }
        resources.push(builder.resource(free));
        builder.limit(Scarce::Pot(p), resources[p]);
    }
    resources
}

fn add_cold(builder: &mut Builder<'_>) -> Cold {
    let scenario = builder.scenario;
    let hour_cost = super::STANDING_PER_HOUR * builder.timeline.step_minutes() / 60.0;
    let mut cold = Vec::new();
    for keg in &scenario.setup.keg_types {
        let mut stores = Vec::new();
        for store in &scenario.setup.cold_stores {
            let name = format!("cold {} in {}", keg.id, store.id);
            let mut resource = Resource::named(name).worth(-hour_cost);
            for (n, filled) in scenario.stock.filled.iter().enumerate() {
                if filled.keg_type == keg.id
                    && filled.store == store.id
                    && let Some(minutes) = builder.recipes.cold_after(n)
                {
                    let t = builder.timeline.steps_for(minutes);
                    resource.supply(t, f64::from(filled.kegs));
                }
            }
            stores.push(builder.resource(resource));
        }
        cold.push(stores);
    }
    cold
}

/// Steps a route's water may stand in its pot while it is chilled and filled: long enough for one
/// person to fill the fullest boil.
pub(crate) fn drain_window(
    scenario: &Scenario,
    recipes: &Recipes,
    timeline: &Timeline,
    route: usize,
) -> usize {
    let crew = &scenario.setup.crew;
    let boils = recipes.boils.iter().filter(|b| b.route == route);
    let (litres, bath) = boils.fold((0.0_f64, 0.0_f64), |(litres, bath), boil| {
        (litres.max(boil.most_litres), bath.max(boil.bath_minutes))
    });
    let types = scenario.setup.keg_types.iter();
    let filling = types
        .map(|keg| (litres / keg.fill_l.litres()).floor() * fill_minutes(scenario, keg))
        .fold(0.0, f64::max);
    let needed = timeline
        .steps_for(crew.chill_min.minutes() + filling)
        .max(1);
    let Some(longest) = scenario.policy.water_stands_min else {
        return needed;
    };
    let allowed = (longest.minutes() / timeline.step_minutes() + 1e-9).floor() as usize;
    let left = allowed.saturating_sub(timeline.steps_for(bath));
    needed.min(left).max(1)
}

/// Minutes of hands to fill one keg and put it away, and to put it under CO2 where that is done.
pub(crate) fn fill_minutes(scenario: &Scenario, keg: &KegType) -> f64 {
    let usual = scenario.setup.crew.fill_keg_min;
    keg.fill_min.unwrap_or(usual).minutes() + blanket_minutes(&scenario.policy)
}

/// A route that runs in one of its pots.
struct Boiling<'a> {
    /// Position of its recipe.
    n: usize,
    recipe: &'a BoilRecipe,
    pot: ResourceId,
    circuit: Option<ResourceId>,
    /// What it brings.
    water: Perishable,
    /// Steps in which that is filled.
    window: usize,
}

impl Boiling<'_> {
    /// One task for each number of steps on the heater: the longer, the more water.
    fn add(self, builder: &mut Builder<'_>, shared: &Shared) {
        let Self {
            n,
            recipe,
            pot,
            circuit,
            water,
            window,
        } = self;
        let timeline = builder.timeline;
        let crew = &builder.scenario.setup.crew;
        let least = timeline
            .steps_for(recipe.heater_minutes(recipe.least_litres))
            .max(1);
        let most = timeline
            .steps_for(recipe.heater_minutes(recipe.most_litres))
            .max(1);
        let bath = timeline.steps_for(recipe.bath_minutes);
        for heater in least..=most {
            let litres = recipe.litres_within(heater as f64 * timeline.step_minutes());
            let litres = packed(litres, &fill_litres(builder));
            if litres < recipe.least_litres {
                continue;
            }
            let chilled = heater + bath;
            let mut needs = builder.attended(0, crew.start_boil_min.minutes());
            needs.extend(builder.attended(heater, crew.chill_min.minutes()));
            let mut starts = builder.attended_starts(&needs, chilled + window);
            let route = &builder.scenario.setup.routes[recipe.route];
            let heated = &builder.scenario.setup.pots[recipe.pot];
            let pot_id = &heated.id;
            builder.keep_running(&mut starts, pot_id, (heater, chilled + window));
            let name = format!("boil {} in {pot_id} for {heater}", route.id);
            let costs = &builder.scenario.setup.costs;
            let fill = &builder.recipes.water[recipe.route];
            let per_litre = recipe.kwh_per_litre * costs.heat_per_kwh.amount()
                + fill.ice_kg() * costs.ice_per_kg.amount();
            let fixed = recipe.fixed_kwh * costs.heat_per_kwh.amount()
                + recipe.fixed_ice_kg * costs.ice_per_kg.amount();
            let task = Task::named(name, Count::Whole)
                .up_to_at(1.0, starts)
                .sized(recipe.least_litres, litres)
                .holding(pot, chilled + window, 1.0)
                .per_start(shared.ice, heater, -recipe.fixed_ice_kg)
                .per_size(shared.ice, heater, -fill.ice_kg())
                .worth_per_size(-per_litre);
            let task = match circuit {
                Some(power) => task.holding(power, heater, heated.power_w.watts()),
                None => task,
            };
            let task = builder.with_agent(task, &shared.materials, fill.agent_g);
            // The last step of the window is the last in which the water may be filled.
            let task = water.brought_by_size(task, chilled, window - 1);
            let (task, hands_cost) = builder.with_hands(task, shared.hands, &needs);
            builder.task(
                task.worth(-fixed - hands_cost),
                Work::Boil { recipe: n, heater },
            );
        }
    }
}

/// Ways of packing a pot that are looked at; with more of them little is ever left over.
const MOST_WAYS: f64 = 5000.0;

fn fill_litres(builder: &Builder<'_>) -> Vec<f64> {
    let types = &builder.scenario.setup.keg_types;
    let together = |keg: &KegType| f64::from(keg.filled_together());
    types
        .iter()
        .map(|keg| keg.fill_l.litres() * together(keg))
        .collect()
}

/// The most litres within `room` that fill whole kegs. A keg is filled from one pot, so what is
/// left over of a boil is poured away; a boil need not be larger than this.
fn packed(room: f64, kegs: &[f64]) -> f64 {
    let ways: f64 = kegs.iter().map(|keg| (room / keg).floor() + 1.0).product();
    if ways > MOST_WAYS {
        return room;
    }
    let Some((largest, others)) = kegs.split_first() else {
        return 0.0;
    };
    let most = (room / largest + 1e-9).floor() as usize;
    (0..=most)
        .map(|n| {
            let used = n as f64 * largest;
            used + packed((room - used).max(0.0), others)
        })
        .fold(0.0, f64::max)
}

fn add_dump(builder: &mut Builder<'_>, route: usize, water: Perishable) {
    let id = &builder.scenario.setup.routes[route].id;
    let task = Task::named(format!("pour away {id}"), Count::Any)
        .up_to(1.0, 0..builder.steps())
        .sized(0.0, 1000.0);
    builder.task(water.taken_by_size(task), Work::Dump { route });
}

fn add_fills(
    builder: &mut Builder<'_>,
    shared: &Shared,
    kegs: &Kegs,
    cold: &Cold,
    route: usize,
    water: Perishable,
) {
    let (scenario, recipes) = (builder.scenario, builder.recipes);
    for (k, keg) in scenario.setup.keg_types.iter().enumerate() {
        for (s, store) in scenario.setup.cold_stores.iter().enumerate() {
            let Some(cooling) = &recipes.cools[k][s][route] else {
                continue;
            };
            // A crate is filled and put away as one.
            let together = f64::from(keg.filled_together());
            let mut needs = builder.attended(0, fill_minutes(scenario, keg));
            needs
                .iter_mut()
                .for_each(|(_, minutes)| *minutes *= together);
            let starts = builder.attended_starts(&needs, 1);
            let places = keg.places.places() * together;
            let most = f64::from(store.places) / places + 1e-9;
            let route_id = &scenario.setup.routes[route].id;
            let name = format!("fill {} by {route_id} into {}", keg.id, store.id);
            // Filling takes part of a step, and the keg is cold some steps after that.
            let cold_at = builder.timeline.steps_for(cooling.minutes) + 1;
            let mut task = Task::named(name, Count::Whole)
                .up_to_at(most.floor(), starts)
                .per_start(kegs.clean[k], 0, -together)
                .per_start(shared.places[s], 0, -places)
                .per_start(cold[k][s], cold_at, together);
            for (offset, change) in steps_down(&cooling.watts) {
                task = task.per_start(shared.cooling[s], offset, -change * together);
            }
            task = blanketed(builder, shared, task, (k, s));
            let task = water.taken(task, keg.fill_l.litres() * together);
            let (task, cost) = builder.with_hands(task, shared.hands, &needs);
            let work = Work::Fill {
                route,
                keg: k,
                store: s,
            };
            builder.task(task.worth(-cost), work);
        }
    }
}

/// A fill after which kegs are put under CO2: it takes gas, and a connection for each keg until it
/// is gassed.
fn blanketed(builder: &Builder<'_>, shared: &Shared, task: Task, (k, s): (usize, usize)) -> Task {
    let setup = &builder.scenario.setup;
    let (keg, store) = (&setup.keg_types[k], &setup.cold_stores[s]);
    let together = f64::from(keg.filled_together());
    // The recipes have shown that the physics knows this site.
    let kg = blanket_kg(builder.scenario, (keg, store)).ok().flatten();
    let task = match kg {
        Some(kg) => task.per_start(shared.co2, 0, -kg * together),
        None => task,
    };
    match shared.blankets[s] {
        Some(connections) => task.per_start(connections, 0, -together),
        None => task,
    }
}

/// A falling load as a few steps that never lie below it: offsets and changes of watts. A step
/// lasts while the load is above 85 % of the step's height, which keeps the program small.
fn steps_down(watts: &[f64]) -> Vec<(usize, f64)> {
    let mut changes = Vec::new();
    let mut height = 0.0;
    for (offset, load) in watts.iter().enumerate() {
        if offset == 0 || *load < 0.85 * height {
            changes.push((offset, load - height));
            height = *load;
        }
    }
    if height > 0.0 {
        changes.push((watts.len(), -height));
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pot_is_packed_with_whole_kegs() {
        let kegs = [18.5, 9.2];
        // By hand: 3 x 18.5, 18.5 + 9.2, one small, none.
        for (room, best) in [(60.0, 55.5), (32.0, 27.7), (10.0, 9.2), (5.0, 0.0)] {
            assert!((packed(room, &kegs) - best).abs() < 1e-9, "{room}");
        }
    }

    #[test]
    fn the_steps_never_lie_below_the_load_and_end_at_nothing() {
        let watts: Vec<f64> = (0..40).map(|n| 100.0 * 0.93_f64.powi(n)).collect();
        let changes = steps_down(&watts);
        let mut height = 0.0;
        for (offset, load) in watts.iter().enumerate() {
            height += changes
                .iter()
                .filter(|(o, _)| *o == offset)
                .map(|(_, c)| c)
                .sum::<f64>();
            assert!(height >= *load - 1e-9 && height <= load / 0.85 + 1e-9);
        }
        assert!(changes.iter().map(|(_, c)| c).sum::<f64>().abs() < 1e-9);
        assert!(changes.len() < 22);
        assert!(steps_down(&[]).is_empty());
    }
}
