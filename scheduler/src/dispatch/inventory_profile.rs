//! Levels of a network while tasks are started one after the other.

use std::collections::BTreeMap;

use crate::network::{Network, Resource, ResourceId, TaskId};

/// Differences smaller than this are rounding.
const NOTHING: f64 = 1e-6;

/// A task that was started.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Start {
    /// The task.
    pub task: TaskId,
    /// The point at which it starts.
    pub point: usize,
    /// How often.
    pub count: f64,
    /// The size of all of them together.
    pub size: f64,
}

/// Levels of a network while tasks are started one after the other. No start is taken that would
/// break a bound at any point, now or later.
pub(super) struct Ledger<'a> {
    net: &'a Network,
    accounts: Vec<Account>,
    /// What was started.
    pub(super) starts: Vec<Start>,
    started: BTreeMap<(TaskId, usize), f64>,
}

/// One resource's levels.
struct Account {
    /// What comes and goes at each point.
    change: Vec<f64>,
    level: Vec<f64>,
    lower: Vec<f64>,
    upper: Vec<f64>,
    initial: f64,
    carries: bool,
    spills: bool,
    /// Whether it may fall below its lower bound later on, to be put right when the time comes.
    owing: bool,
}

impl Account {
    fn of(resource: &Resource, points: usize, owing: bool) -> Self {
        let series = |s: &crate::network::Series| (0..points).map(|t| s.at(t)).collect();
        let mut change = vec![0.0; points];
        for (t, amount) in &resource.supply {
            if let Some(c) = change.get_mut(*t) {
                *c += amount;
            }
        }
        let mut account = Self {
            change,
            level: vec![0.0; points],
            lower: series(&resource.lower),
            upper: series(&resource.upper),
            initial: resource.initial,
            carries: resource.carries,
            spills: resource.spills,
            owing,
        };
        account.run(0);
        account
    }

    /// Works out the levels from a point on.
    fn run(&mut self, from: usize) {
        let mut before = match (self.carries, from) {
            (false, _) => 0.0,
            (true, 0) => self.initial,
            (true, t) => self.level[t - 1],
        };
        for t in from..self.change.len() {
            let mut level = before + self.change[t];
            if self.spills {
                level = level.min(self.upper[t]);
            }
            self.level[t] = level;
            before = if self.carries { level } else { 0.0 };
        }
    }

    fn in_bounds(&self, from: usize) -> bool {
        (from..self.level.len()).all(|t| {
            (self.owing || self.level[t] >= self.lower[t] - NOTHING)
                && (self.spills || self.level[t] <= self.upper[t] + NOTHING)
        })
    }
}

impl<'a> Ledger<'a> {
    /// The levels when nothing is started. `owing` are resources that may fall below their lower
    /// bound later on, to be put right by [`Self::debt`].
    pub(super) fn new(net: &'a Network, owing: &[ResourceId]) -> Self {
        let accounts = net
            .resources()
            .map(|(id, r)| Account::of(r, net.points(), owing.contains(&id)))
            .collect();
        Self {
            net,
            accounts,
            starts: Vec::new(),
            started: BTreeMap::new(),
        }
    }

    /// The level of a resource at a point.
    pub(super) fn level(&self, id: ResourceId, point: usize) -> f64 {
        self.accounts[id.0].level[point]
    }

    /// All levels, by resource and point.
    pub(super) fn levels(&self) -> Vec<Vec<f64>> {
        self.accounts.iter().map(|a| a.level.clone()).collect()
    }

    /// How far a resource is below its lower bound at a point.
    pub(super) fn debt(&self, id: ResourceId, point: usize) -> f64 {
        let account = &self.accounts[id.0];
        let debt = account.lower[point] - account.level[point];
        if debt > NOTHING { debt } else { 0.0 }
    }

    /// Starts a task once more at a point, if every level allows it.
    pub(super) fn start(&mut self, task: TaskId, point: usize, size: f64) -> bool {
        let already = self.started.get(&(task, point)).copied().unwrap_or(0.0);
        if already + 1.0 > self.net.task(task).most.at(point) + NOTHING {
            return false;
        }
        let touched = self.apply(task, point, (1.0, size));
        let fits = touched
            .iter()
            .all(|(r, from)| self.accounts[*r].in_bounds(*from));
        if !fits {
            self.apply(task, point, (-1.0, -size));
            return false;
        }
        self.started.insert((task, point), already + 1.0);
        self.starts.push(Start {
            task,
            point,
            count: 1.0,
            size,
        });
        true
    }

    /// Moves what a task moves; the resources touched, each with its first point.
    fn apply(
        &mut self,
        task: TaskId,
        point: usize,
        (count, size): (f64, f64),
    ) -> Vec<(usize, usize)> {
        let mut touched: Vec<(usize, usize)> = Vec::new();
        for change in &self.net.task(task).moves {
            let at = point + change.offset;
            let Some(sum) = self.accounts[change.resource.0].change.get_mut(at) else {
                continue;
            };
            *sum += change.per_start * count + change.per_size * size;
            match touched.iter_mut().find(|(r, _)| *r == change.resource.0) {
                Some((_, from)) => *from = at.min(*from),
                None => touched.push((change.resource.0, at)),
            }
        }
        for (r, from) in &touched {
            self.accounts[*r].run(*from);
        }
        touched
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::{Count, Task};

    /// An oven for two hours a loaf, flour for two loaves.
    fn bakery() -> (Network, TaskId, ResourceId) {
        let mut net = Network::new(8);
        let oven = net.add_resource(Resource::named("oven").starting(1.0).at_most(1.0));
        let flour = net.add_resource(Resource::named("flour").starting(2.0));
        let bread = net.add_resource(Resource::named("bread"));
        let bake = net.add_task(
            Task::named("bake", Count::Whole)
                .up_to(1.0, 0..8)
                .holding(oven, 2, 1.0)
                .per_start(flour, 0, -1.0)
                .per_start(bread, 2, 1.0),
        );
        (net, bake, bread)
    }

    #[test]
    fn a_start_that_breaks_a_bound_now_or_later_is_not_taken() {
        let (net, bake, bread) = bakery();
        let mut ledger = Ledger::new(&net, &[]);
        assert!(ledger.start(bake, 2, 0.0));
        // The oven is still hot at 3, and would not be free at 2 for the loaf of 1.
        assert!(!ledger.start(bake, 3, 0.0));
        assert!(!ledger.start(bake, 1, 0.0));
        assert!(ledger.start(bake, 4, 0.0));
        // No flour is left.
        assert!(!ledger.start(bake, 6, 0.0));
        let levels: Vec<f64> = (0..8).map(|t| ledger.level(bread, t)).collect();
        assert_eq!(levels, [0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 2.0, 2.0]);
    }

    #[test]
    fn what_is_too_much_spills_and_does_not_come_back() {
        let mut net = Network::new(4);
        let mut bin = Resource::named("bin").starting(4.0).at_most(5.0).spilling();
        for t in 1..4 {
            bin.supply(t, 2.0);
        }
        let bin = net.add_resource(bin);
        let take = net.add_task(
            Task::named("take", Count::Whole)
                .up_to(9.0, 0..4)
                .per_start(bin, 0, -1.0),
        );
        let mut ledger = Ledger::new(&net, &[]);
        assert!((ledger.level(bin, 3) - 5.0).abs() < 1e-9);
        for _ in 0..5 {
            assert!(ledger.start(take, 1, 0.0));
        }
        // 4 + 2 - 5 = 1, then 3, then 5.
        assert!((ledger.level(bin, 1) - 1.0).abs() < 1e-9);
        assert!(ledger.start(take, 1, 0.0));
        assert!(!ledger.start(take, 1, 0.0));
    }
}
