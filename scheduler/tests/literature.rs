//! Published examples of the state-task network, on the same public network type that plans soda.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

use std::collections::BTreeMap;

use scheduler::milp::{Settings, WarmStart, Watch, formulate, solve};
use scheduler::network::{Count, Network, Resource, ResourceId, Task};

/// A plant that makes batches: states of material, and units that turn one into another.
struct Plant {
    net: Network,
    hours: usize,
    states: BTreeMap<&'static str, ResourceId>,
}

/// What a batch takes, by kg of it.
type Feeds<'a> = &'a [(&'static str, f64)];

/// What a batch makes, hours after its start, by kg of it.
type Makes<'a> = &'a [(&'static str, usize, f64)];

impl Plant {
    fn over(hours: usize) -> Self {
        Self {
            net: Network::new(hours + 1),
            hours,
            states: BTreeMap::new(),
        }
    }

    /// A state: kg at first and at most, and what a kg is worth at the end.
    fn state(&mut self, name: &'static str, (first, most): (f64, f64), worth: f64) -> ResourceId {
        let state = Resource::named(name)
            .starting(first)
            .at_most(most)
            .worth_at_end(self.hours, worth);
        let id = self.net.add_resource(state);
        self.states.insert(name, id);
        id
    }

    fn unit(&mut self, name: &str) -> ResourceId {
        let unit = Resource::named(name).starting(1.0).at_most(1.0);
        self.net.add_resource(unit)
    }

    /// A task on a unit: hours it takes, kg it holds at most, what a start costs. Feeds that are
    /// not among the states are there without end.
    fn task(
        &mut self,
        (name, unit): (&str, ResourceId),
        (hours, most, cost): (usize, f64, f64),
        feeds: Feeds<'_>,
        makes: Makes<'_>,
    ) {
        let mut task = Task::named(name, Count::Whole)
            .up_to(1.0, 0..self.hours + 1 - hours)
            .sized(0.0, most)
            .holding(unit, hours, 1.0)
            .worth(-cost);
        for (state, part) in feeds {
            if let Some(id) = self.states.get(state) {
                task = task.per_size(*id, 0, -part);
            }
        }
        for (state, after, part) in makes {
            task = task.per_size(self.states[state], *after, *part);
        }
        self.net.add_task(task);
    }

    /// Holds the optimum against the published one.
    fn has_optimum(&self, published: f64) {
        self.net.check().unwrap();
        let form = formulate(&self.net);
        let settings = Settings {
            gap: 1e-7,
            ..Settings::default()
        };
        let solved = solve(
            &form.program,
            settings,
            WarmStart::Nothing,
            Watch::default(),
        )
        .unwrap();
        assert!(
            (solved.objective - published).abs() < 1e-3,
            "{published} is published, {} found",
            solved.objective
        );
        assert!(
            (solved.bound - published).abs() < 1e-2,
            "{published} is published, the bound is {}",
            solved.bound
        );
        assert_eq!(solved.stopped, None);
    }
}

/// The tasks of the example of Kondili, Pantelides & Sargent, with these reactors.
fn two_products(plant: &mut Plant, reactors: &[(&str, f64)], cost: f64) {
    let heater = plant.unit("heater");
    let still = plant.unit("still");
    let heated = [("hot A", 1, 1.0)];
    plant.task(
        ("heating", heater),
        (1, 100.0, cost),
        &[("A", 1.0)],
        &heated,
    );
    for (name, most) in reactors {
        let reactor = plant.unit(name);
        plant.task(
            ("reaction 1", reactor),
            (2, *most, cost),
            &[("B", 0.5), ("C", 0.5)],
            &[("BC", 2, 1.0)],
        );
        plant.task(
            ("reaction 2", reactor),
            (2, *most, cost),
            &[("hot A", 0.4), ("BC", 0.6)],
            &[("AB", 2, 0.6), ("P1", 2, 0.4)],
        );
        plant.task(
            ("reaction 3", reactor),
            (1, *most, cost),
            &[("C", 0.2), ("AB", 0.8)],
            &[("impure E", 1, 1.0)],
        );
    }
    plant.task(
        ("separation", still),
        (2, 200.0, cost),
        &[("impure E", 1.0)],
        &[("P2", 1, 0.9), ("AB", 2, 0.1)],
    );
}

/// Kondili, Pantelides & Sargent, Computers & Chemical Engineering 17:211 (1993), section 5. The
/// paper prints 2744; this data has the optimum 2744.375.
#[test]
fn kondili_pantelides_sargent_1993_two_reactors() {
    let mut plant = Plant::over(10);
    plant.state("hot A", (0.0, 100.0), -1.0);
    plant.state("AB", (0.0, 200.0), -1.0);
    plant.state("BC", (0.0, 150.0), -1.0);
    plant.state("impure E", (0.0, 100.0), -1.0);
    plant.state("P1", (0.0, f64::INFINITY), 10.0);
    plant.state("P2", (0.0, f64::INFINITY), 10.0);
    two_products(&mut plant, &[("reactor 1", 80.0), ("reactor 2", 50.0)], 0.0);
    plant.has_optimum(2744.375);
}

/// The same process with three reactors, feeds of 500 kg, a price for each start and at least
/// 250 kg of the second product, over 12 hours: J. Kantor, "Scheduling Multipurpose Batch Processes
/// using State-Task Networks", course CBE 30338 of the University of Notre Dame, whose published
/// notebook prints the optimum 6992.91666666667 (another solver's).
#[test]
fn three_reactors_with_limited_feeds_and_a_price_for_each_start() {
    let mut plant = Plant::over(12);
    for feed in ["A", "B", "C"] {
        plant.state(feed, (500.0, 500.0), 0.0);
    }
    plant.state("hot A", (0.0, 100.0), -1.0);
    plant.state("AB", (0.0, 200.0), -10.0);
    plant.state("BC", (0.0, 150.0), -1.0);
    plant.state("impure E", (0.0, 100.0), -1.0);
    plant.state("P1", (0.0, 500.0), 10.0);
    let second = plant.state("P2", (0.0, 500.0), 10.0);
    let points = plant.net.points();
    plant
        .net
        .resource_mut(second)
        .lower
        .set(plant.hours, points, 250.0);
    let reactors = [
        ("reactor 1", 80.0),
        ("reactor 2", 80.0),
        ("reactor 3", 120.0),
    ];
    two_products(&mut plant, &reactors, 1.0);
    plant.has_optimum(6_992.916_666_67);
}

/// The example in the appendix of Maravelias & Grossmann, Industrial & Engineering Chemistry
/// Research 42:3056 (2003): 100 kg of A, heated by 10, reacted by 4 in three hours or by 2 in one,
/// filtered in two hours; data as in J. Kantor's published notebook on it, which prints the optimum
/// 100 for 6 hours at 10 a kg. By hand: one batch of heating, 4 kg in the slow reactor and three
/// times 2 in the quick one are ready for the filter at hour 4, and are 10 kg at hour 6.
#[test]
fn maravelias_grossmann_2003_appendix() {
    let mut plant = Plant::over(6);
    plant.state("A", (100.0, 100.0), 0.0);
    plant.state("hot A", (0.0, f64::INFINITY), 0.0);
    plant.state("reacted", (0.0, f64::INFINITY), 0.0);
    plant.state("B", (0.0, f64::INFINITY), 10.0);
    let (heater, slow) = (plant.unit("heater"), plant.unit("reactor 1"));
    let (quick, filter) = (plant.unit("reactor 2"), plant.unit("filter"));
    type Feed = (&'static str, f64);
    type Made = (&'static str, usize, f64);
    let tasks: [(_, _, Feed, Made); 4] = [
        (("heat", heater), (1, 10.0), ("A", 1.0), ("hot A", 1, 1.0)),
        (("R1", slow), (3, 4.0), ("hot A", 1.0), ("reacted", 3, 1.0)),
        (("R2", quick), (1, 2.0), ("hot A", 1.0), ("reacted", 1, 1.0)),
        (("sep", filter), (2, 10.0), ("reacted", 1.0), ("B", 2, 1.0)),
    ];
    for (task, (hours, most), feed, made) in tasks {
        plant.task(task, (hours, most, 0.0), &[feed], &[made]);
    }
    plant.has_optimum(100.0);
}
