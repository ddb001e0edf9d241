//! From a scenario to a resource-task network.
//!
//! Kegs are counted, not named: a resource holds how many kegs of a type are in a state, so the
//! network does not grow with the fleet. A boil makes water, and the product is chosen only when
//! a keg is gassed, so routes and products multiply nothing.
//!
//! Each file adds the resources and tasks of one part of the work.

mod blanket;
mod calendar;
mod circuits;
mod cuts;
mod gassing;
mod ice;
mod marginal_gain;
mod materials;
mod open;
mod perishable;
mod reserve;
mod serving;
mod soda_network;
mod supplies;
mod under_way;
mod upkeep;
mod water;
mod worth;

pub(crate) use gassing::{good_until, shelf_life};
pub use marginal_gain::OneMore;
pub(crate) use soda_network::Stages;
pub use soda_network::{Limit, Scarce, SodaNetwork, Work};
pub(crate) use under_way::window;
pub(crate) use water::{drain_window, fill_minutes};
pub use worth::{earned, loss_per_litre, worth_per_litre};

use calendar::Calendar;
use perishable::Perishable;

use crate::check::Checked;
use crate::network::{Network, Resource, ResourceId, Task, TaskId};
use crate::recipe::Recipes;
use crate::scenario::Equipment;
use crate::timeline::Timeline;

/// Cost of a keg that stands filled for an hour; only a tie-break, so that soda is fresh.
pub(crate) const STANDING_PER_HOUR: f64 = 0.0005;

/// Cost of a litre that stands in a tapped keg for an hour; only a tie-break, so that no keg is
/// opened before it is wanted.
pub(crate) const ON_TAP_PER_LITRE_HOUR: f64 = 0.0001;

/// Builds the network of a scenario.
#[must_use]
pub fn network(scenario: &Checked, recipes: &Recipes, timeline: &Timeline) -> SodaNetwork {
    let mut builder = Builder::new(scenario, recipes, timeline);
    let shared = builder.shared();
    let kegs = builder.kegs();
    let (cold, water) = water::add(&mut builder, &shared, &kegs);
    let ready = gassing::add(&mut builder, &shared, &kegs, &cold);
    serving::add(&mut builder, &shared, &kegs, &ready);
    reserve::add(&mut builder, &ready);
    upkeep::add(&mut builder, &shared, &kegs);
    SodaNetwork {
        net: builder.net,
        work: builder.work,
        limits: builder.limits,
        ready: ready.totals(),
        stages: Stages {
            clean: kegs.clean,
            dirty: kegs.dirty,
            water,
            cold,
            places: shared.places,
            within_time: builder.within_time,
        },
    }
}

/// Resources every part of the work competes for.
struct Shared {
    hands: ResourceId,
    ice: ResourceId,
    co2: ResourceId,
    /// Materials that limit the plan.
    materials: Vec<ResourceId>,
    places: Vec<ResourceId>,
    cooling: Vec<ResourceId>,
    /// Connections for kegs that wait under CO2, by store; none where nothing limits them.
    blankets: Vec<Option<ResourceId>>,
}

/// Empty kegs of each type.
struct Kegs {
    clean: Vec<ResourceId>,
    dirty: Vec<ResourceId>,
}

/// The network while it is being built.
struct Builder<'a> {
    scenario: &'a Checked,
    recipes: &'a Recipes,
    timeline: &'a Timeline,
    net: Network,
    work: Vec<Work>,
    limits: Vec<Limit>,
    /// Minutes of hands in each step.
    hands: Vec<f64>,
    calendar: Calendar,
    /// Accounts of what must be used within a time.
    within_time: Vec<ResourceId>,
}

impl<'a> Builder<'a> {
    fn new(scenario: &'a Checked, recipes: &'a Recipes, timeline: &'a Timeline) -> Self {
        Self {
            scenario,
            recipes,
            timeline,
            // Step t lies between points t and t + 1, so there is one point more than steps.
            net: Network::new(timeline.steps() + 1),
            work: Vec::new(),
            limits: Vec::new(),
            hands: hands_by_step(scenario, timeline),
            calendar: Calendar::of(scenario, timeline),
            within_time: Vec::new(),
        }
    }

    /// Number of steps.
    fn steps(&self) -> usize {
        self.timeline.steps()
    }

    fn task(&mut self, task: Task, means: Work) -> TaskId {
        self.work.push(means);
        self.net.add_task(task)
    }

    fn resource(&mut self, resource: Resource) -> ResourceId {
        self.net.add_resource(resource)
    }

    fn limit(&mut self, scarce: Scarce, resource: ResourceId) {
        self.limits.push(Limit { scarce, resource });
    }

    /// Resources every part of the work competes for.
    fn shared(&mut self) -> Shared {
        let hands = self.resource(Resource::named("hands").renewed(&self.hands.clone()));
        self.limit(Scarce::Hands, hands);
        let ice = ice::bin(self.scenario, self.timeline);
        let ice = self.resource(ice);
        self.limit(Scarce::Ice, ice);
        let co2 = materials::co2(self, hands);
        let materials = materials::add(self);
        let mut places = Vec::new();
        let mut cooling = Vec::new();
        for s in 0..self.scenario.setup.cold_stores.len() {
            let (mut place, cool) =
                supplies::store((self.scenario, self.timeline), s, &self.recipes.standing[s]);
            let store = self.scenario.setup.cold_stores[s].id.clone();
            let lost = self.lost(&Equipment::Places { store }, place.initial);
            calendar::lose(&mut place, &lost);
            let place = self.resource(place);
            self.limit(Scarce::Places(s), place);
            places.push(place);
            let cool = self.resource(cool);
            self.limit(Scarce::Cooling(s), cool);
            cooling.push(cool);
        }
        let stores = 0..self.scenario.setup.cold_stores.len();
        let blankets = stores.map(|s| blanket::connections(self, s)).collect();
        Shared {
            hands,
            ice,
            co2,
            materials,
            places,
            cooling,
            blankets,
        }
    }

    /// Empty kegs of each type.
    fn kegs(&mut self) -> Kegs {
        let (mut clean, mut dirty) = (Vec::new(), Vec::new());
        for (k, keg) in self.scenario.setup.keg_types.iter().enumerate() {
            let empty = self
                .scenario
                .stock
                .empty
                .iter()
                .filter(|e| e.keg_type == keg.id);
            let (c, d) = empty.fold((0.0, 0.0), |(c, d), e| {
                (c + f64::from(e.clean), d + f64::from(e.dirty))
            });
            let mut free = Resource::named(format!("clean {}", keg.id)).starting(c);
            for (t, kegs) in under_way::washed(self.scenario, self.timeline, &keg.id) {
                free.supply(t, kegs);
            }
            clean.push(self.resource(free));
            self.limit(Scarce::Kegs(k), clean[k]);
            let used = Resource::named(format!("dirty {}", keg.id)).starting(d);
            dirty.push(self.resource(used));
        }
        Kegs { clean, dirty }
    }

    /// Minutes of hands for each step of a piece of work that starts `offset` steps after the
    /// task's start, spread over as many steps as it needs.
    fn attended(&self, offset: usize, minutes: f64) -> Vec<(usize, f64)> {
        let step = self.timeline.step_minutes();
        let steps = self.timeline.steps_for(minutes);
        (0..steps)
            .map(|n| (offset + n, (minutes - n as f64 * step).min(step)))
            .collect()
    }

    /// Steps at which a task with these needs for hands may start: somebody is there each time.
    fn attended_starts(&self, needs: &[(usize, f64)], length: usize) -> Vec<usize> {
        (0..self.steps().saturating_sub(length.saturating_sub(1)))
            .filter(|t| {
                needs.iter().all(|(offset, minutes)| {
                    self.hands
                        .get(t + offset)
                        .is_some_and(|free| free >= minutes)
                })
            })
            .collect()
    }

    /// Adds the needs for hands to a task, and what they cost.
    fn with_hands(&self, mut task: Task, hands: ResourceId, needs: &[(usize, f64)]) -> (Task, f64) {
        let mut minutes = 0.0;
        for (offset, need) in needs {
            task = task.per_start(hands, *offset, -need);
            minutes += need;
        }
        (
            task,
            minutes * self.scenario.setup.costs.hands_per_h.amount() / 60.0,
        )
    }
}

/// Minutes of hands in each step, less what work under way needs.
pub(crate) fn hands_by_step(scenario: &Checked, timeline: &Timeline) -> Vec<f64> {
    let hands = supplies::hand_minutes(&scenario.setup.crew, timeline);
    under_way::hands_left(scenario, timeline, hands)
}
