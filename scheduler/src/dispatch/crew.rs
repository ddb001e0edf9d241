//! What a crew can do in a network, and the orders in which it may do it.

use crate::mapping::{SodaNetwork, Work};
use crate::network::{ResourceId, TaskId};

/// What a crew can do in one network.
pub(super) struct Crew<'a> {
    pub(super) soda: &'a SodaNetwork,
    pub(super) boils: Vec<Boil>,
    pub(super) fills: Vec<Fill>,
    pub(super) gassings: Vec<Gassing>,
    pub(super) washes: Vec<TaskId>,
    pub(super) deliveries: Vec<TaskId>,
    /// Tasks that throw away what is past its time, with the account each puts right.
    pub(super) rids: Vec<(TaskId, ResourceId)>,
    /// Points after a fill by which its keg can be ready, by route.
    pub(super) after_boil: Vec<Option<usize>>,
    /// Points at which anything can be started.
    pub(super) busy: Vec<bool>,
    /// Fills in order: `[small kegs first][last store first]`.
    pub(super) fill_orders: [[Vec<usize>; 2]; 2],
    /// Gassings in order: `[slow ones first]`.
    pub(super) gas_orders: [Vec<usize>; 2],
    /// Boils in order: `[fullest first][preferred route]`.
    pub(super) boil_orders: [Vec<Vec<usize>>; 2],
}

pub(super) struct Boil {
    pub(super) task: TaskId,
    pub(super) route: usize,
    /// Points until its water can be filled.
    pub(super) chilled: usize,
    pub(super) least: f64,
    pub(super) most: f64,
}

pub(super) struct Fill {
    pub(super) task: TaskId,
    pub(super) route: usize,
    pub(super) keg: usize,
    pub(super) store: usize,
    pub(super) litres: f64,
    /// Points until its keg can be ready.
    pub(super) ready: usize,
}

pub(super) struct Gassing {
    pub(super) task: TaskId,
    pub(super) keg: usize,
    pub(super) store: usize,
    /// Points until its keg is ready.
    pub(super) ready: usize,
}

impl<'a> Crew<'a> {
    pub(super) fn of(soda: &'a SodaNetwork) -> Self {
        let mut crew = Self {
            soda,
            boils: Vec::new(),
            fills: Vec::new(),
            gassings: Vec::new(),
            washes: Vec::new(),
            deliveries: Vec::new(),
            rids: Vec::new(),
            after_boil: vec![None; soda.stages.water.len()],
            busy: vec![false; soda.net.points()],
            fill_orders: Default::default(),
            gas_orders: Default::default(),
            boil_orders: Default::default(),
        };
        let ids: Vec<TaskId> = soda.net.tasks().map(|(id, _)| id).collect();
        for (id, work) in ids.iter().zip(&soda.work) {
            crew.learn_gassing(*id, *work);
        }
        for (id, work) in ids.iter().zip(&soda.work) {
            crew.learn_fill(*id, *work);
        }
        for (id, work) in ids.iter().zip(&soda.work) {
            crew.learn_rest(*id, *work);
        }
        crew.learn_orders();
        crew
    }

    fn learn_orders(&mut self) {
        let starting: Vec<TaskId> = self
            .fills
            .iter()
            .map(|f| f.task)
            .chain(self.gassings.iter().map(|g| g.task))
            .chain(self.boils.iter().map(|b| b.task))
            .chain(self.washes.iter().copied())
            .chain(self.deliveries.iter().copied())
            .collect();
        for (t, busy) in self.busy.iter_mut().enumerate() {
            let mut tasks = starting.iter();
            *busy = tasks.any(|id| self.soda.net.task(*id).most.at(t) > 0.0);
        }
        for small in [false, true] {
            for last_store in [false, true] {
                self.fill_orders[usize::from(small)][usize::from(last_store)] =
                    self.fills_in_order(small, last_store);
            }
        }
        for slow in [false, true] {
            self.gas_orders[usize::from(slow)] = self.gassings_in_order(slow);
        }
        for fullest in [false, true] {
            self.boil_orders[usize::from(fullest)] = (0..self.routes().max(1))
                .map(|route| self.boils_in_order(fullest, route))
                .collect();
        }
    }

    fn fills_in_order(&self, small_first: bool, last_store_first: bool) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.fills.len()).collect();
        order.sort_by(|a, b| {
            let (a, b) = (&self.fills[*a], &self.fills[*b]);
            let size = a.litres.total_cmp(&b.litres);
            let store = a.store.cmp(&b.store);
            let size = if small_first { size } else { size.reverse() };
            size.then(if last_store_first {
                store.reverse()
            } else {
                store
            })
        });
        order
    }

    fn gassings_in_order(&self, slow_first: bool) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.gassings.len()).collect();
        let quickest = self.gassings.iter().map(|g| g.ready).min().unwrap_or(0);
        order.sort_by_key(|n| {
            let ready = self.gassings[*n].ready;
            ((ready > quickest) != slow_first, ready)
        });
        order
    }

    fn boils_in_order(&self, fullest: bool, route: usize) -> Vec<usize> {
        let routes = self.routes().max(1);
        let mut order: Vec<usize> = (0..self.boils.len()).collect();
        order.sort_by(|a, b| {
            let (a, b) = (&self.boils[*a], &self.boils[*b]);
            let rank = |boil: &Boil| (boil.route + routes - route) % routes;
            let size = b.most.total_cmp(&a.most);
            let quick = a.chilled.cmp(&b.chilled);
            let best = if fullest {
                size.then(quick)
            } else {
                quick.then(size)
            };
            rank(a).cmp(&rank(b)).then(best)
        });
        order
    }

    /// How many routes it knows.
    pub(super) fn routes(&self) -> usize {
        self.after_boil.len()
    }

    /// Points from the start of a task until it brings something.
    fn brings(&self, task: TaskId, id: ResourceId) -> Option<usize> {
        let moves = self.soda.net.task(task).moves.iter();
        let brings =
            |m: &&crate::network::Move| m.resource == id && (m.per_start > 0.0 || m.per_size > 0.0);
        moves.filter(brings).map(|m| m.offset).min()
    }

    /// Whether the task can start at all.
    fn possible(&self, task: TaskId) -> bool {
        let task = self.soda.net.task(task);
        (0..self.soda.net.points()).any(|t| task.most.at(t) > 0.0)
    }

    fn learn_gassing(&mut self, task: TaskId, work: Work) {
        let Work::Gas { store, .. } = work else {
            return;
        };
        let cold = &self.soda.stages.cold;
        let Some(keg) = (0..cold.len()).find(|k| self.takes(task, cold[*k][store])) else {
            return;
        };
        let levels = self.soda.ready.iter().flat_map(|(_, _, levels)| levels);
        let ready = levels.filter_map(|id| self.brings(task, *id)).min();
        if let Some(ready) = ready.filter(|_| self.possible(task)) {
            self.gassings.push(Gassing {
                task,
                keg,
                store,
                ready,
            });
        }
    }

    fn takes(&self, task: TaskId, id: ResourceId) -> bool {
        let moves = &self.soda.net.task(task).moves;
        moves.iter().any(|m| m.resource == id && m.per_start < 0.0)
    }

    fn learn_fill(&mut self, task: TaskId, work: Work) {
        let Work::Fill { route, keg, store } = work else {
            return;
        };
        let stages = &self.soda.stages;
        let gassings = self.gassings.iter();
        let quickest = gassings
            .filter(|g| (g.keg, g.store) == (keg, store))
            .map(|g| g.ready)
            .min();
        let moves = self.soda.net.task(task).moves.iter();
        let water: f64 = moves
            .filter(|m| m.resource == stages.water[route])
            .map(|m| -m.per_start)
            .sum();
        let cold = self.brings(task, stages.cold[keg][store]);
        if let (Some(cold), Some(quickest), true) = (cold, quickest, self.possible(task)) {
            let ready = cold + quickest;
            let first = self.after_boil[route].map_or(ready, |first| first.min(ready));
            self.after_boil[route] = Some(first);
            self.fills.push(Fill {
                task,
                route,
                keg,
                store,
                litres: water,
                ready,
            });
        }
    }

    fn learn_rest(&mut self, task: TaskId, work: Work) {
        match work {
            Work::Boil { .. } => self.learn_boil(task),
            Work::Wash { .. } => self.washes.push(task),
            Work::BuyIce => self.deliveries.push(task),
            Work::Dump { .. } | Work::Stale { .. } | Work::Discard { .. } => {
                let accounts = self.soda.stages.within_time.iter();
                let own = accounts
                    .copied()
                    .filter(|id| self.brings(task, *id).is_some());
                let own: Vec<_> = own.map(|id| (task, id)).collect();
                self.rids.extend(own);
            }
            _ => {}
        }
    }

    fn learn_boil(&mut self, task: TaskId) {
        let waters = &self.soda.stages.water;
        let found = (0..waters.len()).find_map(|r| Some((r, self.brings(task, waters[r])?)));
        let size = self.soda.net.task(task).size;
        if let (Some((route, chilled)), Some(size), true) = (found, size, self.possible(task)) {
            self.boils.push(Boil {
                task,
                route,
                chilled,
                least: size.least,
                most: size.most,
            });
        }
    }
}
