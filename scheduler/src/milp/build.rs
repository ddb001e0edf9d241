//! The program of a network: one function for each rule of the formulation.

use std::collections::BTreeSet;

use super::program::{Column, Program, Relation, Row};
use crate::network::{Count, Network, Resource, ResourceId, Size, TaskId};

/// A network's program, and which column means what.
#[derive(Debug, Clone)]
pub struct Formulation {
    /// The program.
    pub program: Program,
    /// Column of the number of starts of a task at a point.
    pub(super) starts: Vec<Vec<Option<usize>>>,
    /// Column of the total size of a task's starts at a point.
    pub(super) sizes: Vec<Vec<Option<usize>>>,
    /// Points at which a resource can change, with the column of its level and the row that
    /// balances it.
    pub(super) levels: Vec<Vec<Level>>,
    /// In which turn a search settles each task.
    pub(super) turns: Vec<u8>,
}

/// A point at which a resource can change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Level {
    /// The point.
    pub point: usize,
    /// Column of the level, for a resource that carries.
    pub column: Option<usize>,
    /// Column of what spills there, for a resource that spills.
    pub spilled: Option<usize>,
    /// Row that balances it.
    pub row: usize,
}

/// Writes down the program of a network. Levels get a column only at points where they can change.
#[must_use]
pub fn formulate(net: &Network) -> Formulation {
    let mut form = Formulation {
        program: Program::default(),
        starts: Vec::new(),
        sizes: Vec::new(),
        levels: Vec::new(),
        turns: Vec::new(),
    };
    for (id, _) in net.tasks() {
        form.add_starts(net, id);
    }
    let touched = form.touched_points(net);
    let arrivals = form.arrivals(net);
    // Each is given back once it is written down: together they are as large as the program.
    for (((id, resource), points), arrivals) in net.resources().zip(touched).zip(arrivals) {
        form.add_balance(net, id, resource, &points, &arrivals);
    }
    form
}

/// Terms that reach a resource at each point.
type Arrivals = Vec<Vec<(usize, f64)>>;

/// What balances a level at a point: columns, and what comes by itself.
struct Balance<'a> {
    /// The level at the point before; none at the first.
    before: Option<usize>,
    level: usize,
    spilled: Option<usize>,
    arrivals: &'a [(usize, f64)],
    supply: f64,
}

impl Formulation {
    /// Column of the number of starts of a task at a point; none where it may not start.
    #[must_use]
    pub fn starts(&self, task: TaskId, point: usize) -> Option<usize> {
        self.starts[task.0].get(point).copied().flatten()
    }

    /// Column of the total size of a task's starts at a point.
    #[must_use]
    pub fn size(&self, task: TaskId, point: usize) -> Option<usize> {
        self.sizes[task.0].get(point).copied().flatten()
    }

    /// Points at which a resource can change.
    #[must_use]
    pub fn levels(&self, resource: ResourceId) -> &[Level] {
        &self.levels[resource.0]
    }

    /// Says in which turn a search settles each task, in the network's order: those of turn 0 first,
    /// the others with those as given. All are settled together where nothing is said.
    #[must_use]
    pub fn in_turns(mut self, turns: impl IntoIterator<Item = u8>) -> Self {
        self.turns = turns.into_iter().collect();
        self
    }

    /// In which turn a search settles a task.
    #[must_use]
    pub fn turn(&self, task: TaskId) -> u8 {
        self.turns.get(task.0).copied().unwrap_or(0)
    }

    /// One column for the starts and one for the size, wherever the task may start.
    fn add_starts(&mut self, net: &Network, id: TaskId) {
        let task = net.task(id);
        let mut starts = vec![None; net.points()];
        let mut sizes = vec![None; net.points()];
        for t in 0..net.points() {
            let most = task.most.at(t);
            if most <= 0.0 {
                continue;
            }
            let n = self.program.add_column(Column {
                name: format!("start[{},{t}]", task.name).into(),
                lower: 0.0,
                upper: most,
                whole: task.count == Count::Whole,
                objective: task.worth_per_start.at(t),
            });
            starts[t] = Some(n);
            if let Some(size) = task.size {
                let x = self.program.add_column(Column {
                    name: format!("size[{},{t}]", task.name).into(),
                    lower: 0.0,
                    upper: size.most * most,
                    whole: false,
                    objective: task.worth_per_size,
                });
                sizes[t] = Some(x);
                self.bound_size(&task.name, t, (n, x), size);
            }
        }
        self.starts.push(starts);
        self.sizes.push(sizes);
    }

    /// The total size lies between the least and the most of each start.
    fn bound_size(&mut self, task: &str, t: usize, (n, x): (usize, usize), size: Size) {
        let Size { least, most } = size;
        self.program.add_row(Row {
            name: format!("size_most[{task},{t}]").into(),
            terms: vec![(x, 1.0), (n, -most)],
            relation: Relation::AtMost,
            right: 0.0,
        });
        if least > 0.0 {
            self.program.add_row(Row {
                name: format!("size_least[{task},{t}]").into(),
                terms: vec![(x, 1.0), (n, -least)],
                relation: Relation::AtLeast,
                right: 0.0,
            });
        }
    }

    /// Points at which each resource can change.
    fn touched_points(&self, net: &Network) -> Vec<BTreeSet<usize>> {
        let last = net.points() - 1;
        let mut touched: Vec<BTreeSet<usize>> = net
            .resources()
            .map(|(_, r)| {
                let own = (0..=last).filter(|t| {
                    r.supply.contains_key(t) || r.lower.changes_at(*t) || r.upper.changes_at(*t)
                });
                own.chain([0, last]).collect()
            })
            .collect();
        for (id, task) in net.tasks() {
            for change in &task.moves {
                let points = (0..net.points()).filter(|t| self.starts(id, *t).is_some());
                let reached = points.map(|t| t + change.offset).filter(|t| *t <= last);
                touched[change.resource.0].extend(reached);
            }
        }
        touched
    }

    /// Terms of all tasks, by the resource and point they reach. Moves past the last point are
    /// outside the horizon and count for nothing.
    fn arrivals(&self, net: &Network) -> Vec<Arrivals> {
        let resources = net.resources().count();
        let mut arrivals: Vec<Arrivals> = vec![vec![Vec::new(); net.points()]; resources];
        for (id, task) in net.tasks() {
            for t in 0..net.points() {
                for change in &task.moves {
                    let reached = t + change.offset;
                    if reached >= net.points() {
                        continue;
                    }
                    let to = &mut arrivals[change.resource.0][reached];
                    add_term(to, self.starts(id, t), change.per_start);
                    add_term(to, self.size(id, t), change.per_size);
                }
            }
        }
        arrivals
    }

    /// `level(t) - level(before) - arrivals + spilled = supply`, within the bounds.
    fn add_balance(
        &mut self,
        net: &Network,
        id: ResourceId,
        resource: &Resource,
        points: &BTreeSet<usize>,
        arrivals: &Arrivals,
    ) {
        debug_assert_eq!(self.levels.len(), id.0);
        let mut levels = Vec::new();
        let mut before: Option<usize> = None;
        let ordered: Vec<usize> = points.iter().copied().collect();
        for (n, &t) in ordered.iter().enumerate() {
            let until = ordered.get(n + 1).copied().unwrap_or(net.points());
            let supply = resource.supply.get(&t).copied().unwrap_or(0.0);
            if resource.carries {
                let level = self.add_level(resource, t, until);
                let start = if before.is_none() {
                    resource.initial
                } else {
                    0.0
                };
                let spilled = self.add_spilled(resource, t);
                let balance = Balance {
                    before,
                    level,
                    spilled,
                    arrivals: &arrivals[t],
                    supply: start + supply,
                };
                let row = self.carry(resource, t, balance);
                before = Some(level);
                levels.push(Level {
                    point: t,
                    column: Some(level),
                    spilled,
                    row,
                });
            } else if let Some(row) = self.renew(resource, t, &arrivals[t], supply) {
                levels.push(Level {
                    point: t,
                    column: None,
                    spilled: None,
                    row,
                });
            }
        }
        self.levels.push(levels);
    }

    /// Column of a level that stays the same from `t` until just before `until`.
    fn add_level(&mut self, resource: &Resource, t: usize, until: usize) -> usize {
        self.program.add_column(Column {
            name: format!("level[{},{t}]", resource.name).into(),
            lower: resource.lower.at(t),
            upper: resource.upper.at(t),
            whole: false,
            objective: (t..until).map(|p| resource.worth.at(p)).sum(),
        })
    }

    /// Column of what spills at a point, for a resource that spills.
    fn add_spilled(&mut self, resource: &Resource, t: usize) -> Option<usize> {
        resource.spills.then(|| {
            self.program.add_column(Column {
                name: format!("spilled[{},{t}]", resource.name).into(),
                lower: 0.0,
                upper: f64::INFINITY,
                whole: false,
                objective: 0.0,
            })
        })
    }

    /// Balance of a resource whose level is carried.
    fn carry(&mut self, resource: &Resource, t: usize, balance: Balance<'_>) -> usize {
        let mut terms = vec![(balance.level, 1.0)];
        terms.extend(balance.before.map(|b| (b, -1.0)));
        let arrivals = balance.arrivals.iter();
        terms.extend(arrivals.map(|(column, amount)| (*column, -amount)));
        terms.extend(balance.spilled.map(|s| (s, 1.0)));
        let supply = balance.supply;
        self.add_row("balance", resource, t, terms, Relation::Equal, supply)
    }

    /// What renews at every point is not overdrawn; no row where nothing can draw on it.
    fn renew(
        &mut self,
        resource: &Resource,
        t: usize,
        arrivals: &[(usize, f64)],
        supply: f64,
    ) -> Option<usize> {
        if arrivals.is_empty() {
            return None;
        }
        let terms = arrivals.iter().map(|(column, x)| (*column, -x)).collect();
        let right = supply - resource.lower.at(t);
        Some(self.add_row("within", resource, t, terms, Relation::AtMost, right))
    }

    fn add_row(
        &mut self,
        rule: &str,
        resource: &Resource,
        t: usize,
        terms: Vec<(usize, f64)>,
        relation: Relation,
        right: f64,
    ) -> usize {
        self.program.add_row(Row {
            name: format!("{rule}[{},{t}]", resource.name).into(),
            terms,
            relation,
            right,
        })
    }
}

fn add_term(to: &mut Vec<(usize, f64)>, column: Option<usize>, amount: f64) {
    let Some(column) = column.filter(|_| amount.abs() > 0.0) else {
        return;
    };
    match to.iter_mut().find(|(c, _)| *c == column) {
        Some((_, x)) => *x += amount,
        None => to.push((column, amount)),
    }
}
