//! How large a network's program is, counted without writing it down.

use std::ops::AddAssign;

use super::program::Program;
use crate::network::{Network, Resource, Task};

/// How large a program is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Shape {
    /// Its rules.
    pub rows: usize,
    /// Its decisions.
    pub columns: usize,
    /// Decisions in rules.
    pub nonzeros: usize,
}

impl AddAssign for Shape {
    fn add_assign(&mut self, other: Self) {
        self.rows += other.rows;
        self.columns += other.columns;
        self.nonzeros += other.nonzeros;
    }
}

/// What happens to a resource at each point.
#[derive(Clone, Copy, Default)]
struct Touched {
    /// Whether its level can change.
    changes: bool,
    /// Terms that reach it.
    arrivals: u32,
}

impl Shape {
    /// The shape of a network's program. Where a task moves the same resource twice at one offset,
    /// one term is counted too many.
    ///
    /// ```
    /// use scheduler::milp::{Shape, formulate};
    /// use scheduler::network::{Count, Network, Resource, Task};
    /// let mut net = Network::new(6);
    /// let oven = net.add_resource(Resource::named("oven").starting(1.0).at_most(1.0));
    /// let bake = Task::named("bake", Count::Whole).up_to(1.0, 0..4).holding(oven, 2, 1.0);
    /// net.add_task(bake);
    /// assert_eq!(Shape::of(&net), Shape::of_program(&formulate(&net).program));
    /// ```
    #[must_use]
    pub fn of(net: &Network) -> Self {
        let points = net.points();
        let mut shape = Self::default();
        let unmoved = |(_, resource): (_, &Resource)| unmoved(resource, points);
        let mut touched: Vec<Vec<Touched>> = net.resources().map(unmoved).collect();
        for (_, task) in net.tasks() {
            for t in (0..points).filter(|t| task.most.at(*t) > 0.0) {
                shape += starts(task);
                for change in &task.moves {
                    let Some(at) = touched[change.resource.0].get_mut(t + change.offset) else {
                        continue;
                    };
                    let terms = [change.per_start, change.per_size];
                    at.changes = true;
                    at.arrivals += terms.iter().filter(|x| x.abs() > 0.0).count() as u32;
                }
            }
        }
        for ((_, resource), touched) in net.resources().zip(&touched) {
            shape += balances(resource, touched);
        }
        shape
    }

    /// The shape of a program.
    #[must_use]
    pub fn of_program(program: &Program) -> Self {
        Self {
            rows: program.rows.len(),
            columns: program.columns.len(),
            nonzeros: program.rows.iter().map(|row| row.terms.len()).sum(),
        }
    }
}

/// Points at which a resource can change by itself; the first and the last always count.
fn unmoved(resource: &Resource, points: usize) -> Vec<Touched> {
    let own = |t: usize| {
        resource.supply.contains_key(&t)
            || resource.lower.changes_at(t)
            || resource.upper.changes_at(t)
    };
    let touched = |t: usize| Touched {
        changes: t == 0 || t + 1 == points || own(t),
        arrivals: 0,
    };
    (0..points).map(touched).collect()
}

/// Columns of a task's starts at a point, and the rows that bound their size.
fn starts(task: &Task) -> Shape {
    let rows = task
        .size
        .map_or(0, |size| 1 + usize::from(size.least > 0.0));
    Shape {
        rows,
        columns: 1 + usize::from(task.size.is_some()),
        nonzeros: 2 * rows,
    }
}

/// Columns of a resource's levels, and the rows that balance them.
fn balances(resource: &Resource, touched: &[Touched]) -> Shape {
    let mut shape = Shape::default();
    for at in touched.iter().filter(|at| at.changes) {
        let (arrivals, spills) = (at.arrivals as usize, usize::from(resource.spills));
        if resource.carries {
            let before = usize::from(shape.rows > 0);
            shape += Shape {
                rows: 1,
                columns: 1 + spills,
                nonzeros: 1 + before + arrivals + spills,
            };
        } else if arrivals > 0 {
            shape += Shape {
                rows: 1,
                columns: 0,
                nonzeros: arrivals,
            };
        }
    }
    shape
}
