//! Published examples of the state-task network, on the same public network type that plans soda.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests may fail loudly")]

use scheduler::milp::{Known, Settings, Watch, formulate, solve};
use scheduler::network::{Count, Network, Resource, ResourceId, Task};

/// Hours of the horizon.
const HOURS: usize = 10;

/// The two-reactor example of Kondili, Pantelides & Sargent, Computers & Chemical Engineering
/// 17:211 (1993), section 5.
struct TwoReactors {
    net: Network,
    hot_a: ResourceId,
    ab: ResourceId,
    bc: ResourceId,
    impure: ResourceId,
    p1: ResourceId,
    p2: ResourceId,
}

impl TwoReactors {
    fn states() -> Self {
        let mut net = Network::new(HOURS + 1);
        // Products are worth 10 per kg at the horizon, intermediates cost 1 per kg left there.
        let left = |name: &str, most: f64| {
            Resource::named(name)
                .at_most(most)
                .worth_at_end(HOURS, -1.0)
        };
        let sold = |name: &str| Resource::named(name).worth_at_end(HOURS, 10.0);
        Self {
            hot_a: net.add_resource(left("HotA", 100.0)),
            ab: net.add_resource(left("IntAB", 200.0)),
            bc: net.add_resource(left("IntBC", 150.0)),
            impure: net.add_resource(left("ImpureE", 100.0)),
            p1: net.add_resource(sold("P1")),
            p2: net.add_resource(sold("P2")),
            net,
        }
    }

    fn unit(&mut self, name: &str) -> ResourceId {
        self.net
            .add_resource(Resource::named(name).starting(1.0).at_most(1.0))
    }

    /// A task on a unit: hours it takes, what it holds at most, what it feeds and makes.
    fn task(
        &mut self,
        (name, unit): (&str, ResourceId),
        (hours, most): (usize, f64),
        feeds: &[(ResourceId, f64)],
        makes: &[(ResourceId, usize, f64)],
    ) {
        let mut task = Task::named(name, Count::Whole)
            .up_to(1.0, 0..HOURS + 1 - hours)
            .sized(0.0, most)
            .holding(unit, hours, 1.0);
        for (state, part) in feeds {
            task = task.per_size(*state, 0, -part);
        }
        for (state, after, part) in makes {
            task = task.per_size(*state, *after, *part);
        }
        self.net.add_task(task);
    }

    fn whole() -> Self {
        let mut plant = Self::states();
        let heater = plant.unit("heater");
        let reactors = [
            (plant.unit("reactor 1"), 80.0),
            (plant.unit("reactor 2"), 50.0),
        ];
        let still = plant.unit("still");
        let (hot_a, ab, bc, impure) = (plant.hot_a, plant.ab, plant.bc, plant.impure);
        let (p1, p2) = (plant.p1, plant.p2);
        plant.task(("heating", heater), (1, 100.0), &[], &[(hot_a, 1, 1.0)]);
        for (reactor, most) in reactors {
            plant.task(("reaction 1", reactor), (2, most), &[], &[(bc, 2, 1.0)]);
            plant.task(
                ("reaction 2", reactor),
                (2, most),
                &[(hot_a, 0.4), (bc, 0.6)],
                &[(ab, 2, 0.6), (p1, 2, 0.4)],
            );
            plant.task(
                ("reaction 3", reactor),
                (1, most),
                &[(ab, 0.8)],
                &[(impure, 1, 1.0)],
            );
        }
        plant.task(
            ("separation", still),
            (2, 200.0),
            &[(impure, 1.0)],
            &[(p2, 1, 0.9), (ab, 2, 0.1)],
        );
        plant
    }
}

/// The paper prints 2744; this data has the optimum 2744.375.
#[test]
fn kondili_pantelides_sargent_1993_two_reactors() {
    let plant = TwoReactors::whole();
    plant.net.check().unwrap();
    let form = formulate(&plant.net);
    let settings = Settings {
        gap: 1e-7,
        ..Settings::default()
    };
    let solved = solve(&form.program, settings, Known::Nothing, Watch::default()).unwrap();
    assert!(
        (solved.worth - 2744.375).abs() < 1e-3,
        "found {}",
        solved.worth
    );
    assert!(
        (solved.bound - 2744.375).abs() < 1e-2,
        "bound {}",
        solved.bound
    );
    assert_eq!(solved.stopped, None);
}
