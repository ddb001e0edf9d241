//! Which starts a step sets free.
//!
//! Every neighbourhood is a choice among the starts and an anchor, a point of the horizon: the
//! chosen starts nearest to the anchor are free, as many as the size says, and all others stay as
//! they are in the incumbent.

use crate::milp::{Formulation, Program, Reduced};
use crate::network::{Count, Network, TaskId};

/// Values below this count as nothing, and differences as none.
const NOTHING: f64 = 1e-6;

/// Points around a start of the incumbent or the relaxation that still count as near it.
const NEAR: usize = 4;

/// How much nearer what comes before a loss counts than what comes after it: its cause.
const BEFORE: usize = 4;

/// A kind of neighbourhood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Neighborhood {
    /// All starts of a stretch of the horizon.
    Stretch,
    /// Those of them near starts of the incumbent or the relaxation.
    Near,
    /// Starts of the tasks that share one resource.
    Resource,
    /// Starts in which the incumbent and the relaxation differ: relaxation induced neighbourhood
    /// search (Danna, Rothberg & Le Pape, Mathematical Programming 102:71, 2005).
    Induced,
    /// Starts before a point where the incumbent earns less than the relaxation.
    Loss,
    /// Starts of some tasks, at random.
    Random,
}

/// All kinds of neighbourhoods.
pub(super) const ALL: [Neighborhood; 6] = [
    Neighborhood::Stretch,
    Neighborhood::Near,
    Neighborhood::Resource,
    Neighborhood::Induced,
    Neighborhood::Loss,
    Neighborhood::Random,
];

/// A decision on how often a task starts at a point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Start {
    pub task: TaskId,
    pub point: usize,
    pub column: usize,
    /// Column of its size, if it has one.
    pub size: Option<usize>,
}

/// What neighbourhoods are chosen from.
pub(super) struct Ground<'a> {
    net: &'a Network,
    form: &'a Formulation,
    relaxed: &'a [f64],
    /// All starts that are to be whole and can differ.
    pub starts: Vec<Start>,
    /// Whole tasks that share a resource; only where there are several.
    sharing: Vec<Vec<TaskId>>,
    /// What the relaxation earns at each point.
    earned: Vec<f64>,
}

impl<'a> Ground<'a> {
    pub(super) fn new(net: &'a Network, form: &'a Formulation, relaxed: &'a [f64]) -> Self {
        let mut ground = Self {
            net,
            form,
            relaxed,
            starts: starts(net, form),
            sharing: sharing(net),
            earned: Vec::new(),
        };
        ground.earned = ground.earned(relaxed);
        ground
    }

    /// The starts that a neighbourhood of a size sets free, by their place among all.
    pub(super) fn free(
        &self,
        kind: Neighborhood,
        size: usize,
        incumbent: &[f64],
        random: &mut fastrand::Rng,
    ) -> Vec<usize> {
        let chosen = self.chosen(kind, incumbent, random);
        let anchor = match kind {
            Neighborhood::Loss => self.loss(incumbent, random),
            _ => None,
        };
        let (anchor, before) = match anchor {
            Some(point) => (point, BEFORE),
            None => match chosen.get(random.usize(0..chosen.len().max(1))) {
                Some(n) => (self.starts[*n].point, 1),
                None => return Vec::new(),
            },
        };
        let distance = |n: &usize| match self.starts[*n].point {
            point if point <= anchor => anchor - point,
            point => (point - anchor) * before,
        };
        let mut distances: Vec<(usize, usize)> =
            chosen.into_iter().map(|n| (distance(&n), n)).collect();
        distances.sort_unstable();
        // Starts at the same distance go together.
        let last = distances.get(size.max(1) - 1).map_or(usize::MAX, |d| d.0);
        let within = distances.into_iter().take_while(|(d, _)| *d <= last);
        within.map(|(_, n)| n).collect()
    }

    /// The starts among which a neighbourhood chooses those near its anchor.
    fn chosen(
        &self,
        kind: Neighborhood,
        incumbent: &[f64],
        random: &mut fastrand::Rng,
    ) -> Vec<usize> {
        let all = || 0..self.starts.len();
        match kind {
            Neighborhood::Stretch => all().collect(),
            Neighborhood::Near | Neighborhood::Loss => self.near(incumbent),
            Neighborhood::Induced => {
                let differs = |n: &usize| {
                    let column = self.starts[*n].column;
                    (incumbent[column] - self.relaxed[column]).abs() > NOTHING
                };
                all().filter(differs).collect()
            }
            Neighborhood::Resource => {
                let Some(tasks) = random.choice(&self.sharing) else {
                    return self.near(incumbent);
                };
                let shares = |n: &usize| tasks.contains(&self.starts[*n].task);
                all().filter(shares).collect()
            }
            Neighborhood::Random => {
                let mut taken: Vec<bool> = Vec::new();
                taken.resize_with(self.net.tasks().count(), || random.bool());
                let near = self.near(incumbent).into_iter();
                near.filter(|n| taken[self.starts[*n].task.0]).collect()
            }
        }
    }

    /// Starts near those of the incumbent or the relaxation.
    pub(super) fn near(&self, incumbent: &[f64]) -> Vec<usize> {
        let tasks = self.net.tasks().count();
        // The last point at which each task started, seen from either side.
        let mut near = vec![false; self.starts.len()];
        let starts = |n: usize| {
            let column = self.starts[n].column;
            incumbent[column] > NOTHING || self.relaxed[column] > NOTHING
        };
        let mut walk = |order: &mut dyn Iterator<Item = usize>| {
            let mut last = vec![None; tasks];
            for n in order {
                let Start { task, point, .. } = self.starts[n];
                if starts(n) {
                    last[task.0] = Some(point);
                }
                near[n] |= last[task.0].is_some_and(|at: usize| at.abs_diff(point) <= NEAR);
            }
        };
        walk(&mut (0..self.starts.len()));
        walk(&mut (0..self.starts.len()).rev());
        (0..near.len()).filter(|n| near[*n]).collect()
    }

    /// The program of what is free: some starts, and all that is not counted in whole numbers. All
    /// other starts are as in the incumbent.
    pub(super) fn reduced(&self, program: &Program, free: &[usize], incumbent: &[f64]) -> Reduced {
        let mut fixed = vec![None; incumbent.len()];
        for start in &self.starts {
            let count = incumbent[start.column].round();
            fixed[start.column] = Some(count);
            // Nothing is the size of no start.
            if let Some(size) = start.size.filter(|_| count <= 0.0) {
                fixed[size] = Some(0.0);
            }
        }
        for n in free {
            let start = self.starts[*n];
            fixed[start.column] = None;
            if let Some(size) = start.size {
                fixed[size] = None;
            }
        }
        program.fixing(fixed)
    }

    /// A point at which the incumbent earns less than the relaxation, the more the likelier.
    fn loss(&self, incumbent: &[f64], random: &mut fastrand::Rng) -> Option<usize> {
        let earned = self.earned(incumbent);
        let losses = self.earned.iter().zip(&earned);
        let losses: Vec<f64> = losses.map(|(best, own)| (best - own).max(0.0)).collect();
        let mut left = losses.iter().sum::<f64>() * random.f64();
        let reached = |loss: &f64| {
            left -= loss;
            left < 0.0
        };
        losses.iter().position(reached)
    }

    /// What the tasks that start at each point earn.
    fn earned(&self, values: &[f64]) -> Vec<f64> {
        let columns = &self.form.program.columns;
        let worth = |column: Option<usize>| {
            column.map_or(0.0, |column| columns[column].objective * values[column])
        };
        let at = |point: usize| {
            let ids = self.net.tasks().map(|(id, _)| id);
            ids.map(|id| worth(self.form.starts(id, point)) + worth(self.form.size(id, point)))
                .sum()
        };
        (0..self.net.points()).map(at).collect()
    }
}

/// All starts that are to be whole and can differ, in order of time.
fn starts(net: &Network, form: &Formulation) -> Vec<Start> {
    let whole = |point: usize| {
        let tasks = net.tasks().filter(|(_, task)| task.count == Count::Whole);
        tasks.filter_map(move |(task, _)| {
            let column = form.starts(task, point)?;
            let own = &form.program.columns[column];
            (own.whole && own.lower < own.upper).then_some(Start {
                task,
                point,
                column,
                size: form.size(task, point),
            })
        })
    };
    (0..net.points()).flat_map(whole).collect()
}

/// For each resource, the whole tasks that move it.
fn sharing(net: &Network) -> Vec<Vec<TaskId>> {
    let mut by_resource = vec![Vec::new(); net.resources().count()];
    for (id, task) in net.tasks().filter(|(_, t)| t.count == Count::Whole) {
        for change in &task.moves {
            let tasks: &mut Vec<TaskId> = &mut by_resource[change.resource.0];
            if tasks.last() != Some(&id) {
                tasks.push(id);
            }
        }
    }
    by_resource.sort_unstable();
    by_resource.dedup();
    by_resource.retain(|tasks| tasks.len() > 1);
    by_resource
}
