//! Tiny networks, of which every choice can be tried, agree with the search.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use scheduler::milp::{NoSolution, Watch, formulate};
use scheduler::network::{Count, Network, Resource, Task};
use scheduler::search::search;

use crate::choices::Choices;
use crate::runner::{fixed, limits};

const POINTS: usize = 4;

/// A resource: level at the start, greatest level, and what comes or goes at each point.
struct Store {
    initial: i32,
    upper: i32,
    supply: [i32; POINTS],
}

/// A task: most starts at each point, worth of one, and moves as (store, offset, amount).
struct Step {
    most: [i32; POINTS],
    worth: i32,
    moves: Vec<(usize, usize, i32)>,
}

struct Tiny {
    stores: Vec<Store>,
    steps: Vec<Step>,
}

impl Tiny {
    fn of(bytes: &[u8]) -> Self {
        let c = &mut Choices::of(bytes);
        let stores = (0..c.number(1, 3))
            .map(|_| Store {
                initial: i32::from(c.number(0, 2)),
                upper: c.one_of(&[9, 2, 3]),
                supply: std::array::from_fn(|_| c.one_of(&[0, 0, 1, -1])),
            })
            .collect::<Vec<_>>();
        let steps = (0..c.number(1, 3))
            .map(|_| Step {
                most: std::array::from_fn(|_| c.one_of(&[0, 1, 1, 2])),
                worth: c.one_of(&[1, 2, 3, -1]),
                moves: (0..c.number(1, 3))
                    .map(|_| {
                        let store = usize::from(c.number(0, 2)) % stores.len();
                        (
                            store,
                            usize::from(c.number(0, 2)),
                            c.one_of(&[-1, 1, -2, 2]),
                        )
                    })
                    .collect(),
            })
            .collect();
        Self { stores, steps }
    }

    /// The best worth of all choices that keep every level within its bounds.
    fn best(&self) -> Option<i32> {
        let places: Vec<(usize, usize)> = (0..self.steps.len())
            .flat_map(|k| (0..POINTS).map(move |t| (k, t)))
            .collect();
        let mut starts = vec![0; places.len()];
        let mut best = None;
        loop {
            if let Some(worth) = self.worth(&places, &starts) {
                best = best.max(Some(worth));
            }
            // The next choice, as an odometer counts.
            let Some(n) = (0..places.len()).find(|n| {
                let (k, t) = places[*n];
                starts[*n] < self.steps[k].most[t]
            }) else {
                return best;
            };
            starts[n] += 1;
            starts[..n].fill(0);
        }
    }

    fn worth(&self, places: &[(usize, usize)], starts: &[i32]) -> Option<i32> {
        let mut levels: Vec<i32> = self.stores.iter().map(|s| s.initial).collect();
        for point in 0..POINTS {
            for (level, store) in levels.iter_mut().zip(&self.stores) {
                *level += store.supply[point];
            }
            for ((k, t), n) in places.iter().zip(starts) {
                for (store, offset, amount) in &self.steps[*k].moves {
                    if t + offset == point {
                        levels[*store] += n * amount;
                    }
                }
            }
            let within = |(level, store): (&i32, &Store)| (0..=store.upper).contains(level);
            if !levels.iter().zip(&self.stores).all(within) {
                return None;
            }
        }
        let each = places.iter().zip(starts);
        Some(each.map(|((k, _), n)| n * self.steps[*k].worth).sum())
    }

    fn network(&self) -> Network {
        let mut net = Network::new(POINTS);
        let mut ids = Vec::new();
        for (n, store) in self.stores.iter().enumerate() {
            let mut resource = Resource::named(format!("store {n}"))
                .starting(f64::from(store.initial))
                .at_most(f64::from(store.upper));
            for (t, amount) in store.supply.iter().enumerate() {
                resource.supply(t, f64::from(*amount));
            }
            ids.push(net.add_resource(resource));
        }
        for (n, step) in self.steps.iter().enumerate() {
            let mut most: Vec<f64> = step.most.iter().map(|m| f64::from(*m)).collect();
            most.push(0.0);
            let mut task =
                Task::named(format!("step {n}"), Count::Whole).worth(f64::from(step.worth));
            task.most = most.into();
            for (store, offset, amount) in &step.moves {
                task = task.per_start(ids[*store], *offset, f64::from(*amount));
            }
            net.add_task(task);
        }
        net
    }
}

#[test]
fn the_search_finds_the_best_of_all_choices() {
    let config = Config {
        cases: 400,
        rng_seed: fixed(5),
        failure_persistence: None,
        ..Config::default()
    };
    let run = TestRunner::new(config).run(&vec(any::<u8>(), 60), |bytes| {
        let tiny = Tiny::of(&bytes);
        let net = tiny.network();
        prop_assert!(net.check().is_ok());
        // Each step is settled in a turn of its own.
        let form = formulate(&net).in_turns(0..u8::try_from(tiny.steps.len()).unwrap());
        let found = search(&net, &form, limits(1e-6), Watch::default());
        match (tiny.best(), found) {
            (Some(best), Ok(found)) => {
                let off = (found.objective - f64::from(best)).abs();
                prop_assert!(off < 1e-6, "{} found, {best} is best", found.objective);
                prop_assert!(found.bound >= f64::from(best) - 1e-6);
            }
            (None, Err(NoSolution::Infeasible)) => {}
            (best, found) => prop_assert!(false, "{best:?} {found:?}"),
        }
        Ok(())
    });
    if let Err(failed) = run {
        panic!("{failed}");
    }
}
