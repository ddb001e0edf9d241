//! Smaller programs near a relaxation's solution.

use std::ops::Range;

use crate::milp::{Formulation, Program};
use crate::network::{Count, Network, Task, TaskId};

/// Values below this count as nothing.
const NOTHING: f64 = 1e-6;

/// Tasks that can start at so few points stay free: they cost little.
const FEW: usize = 12;

/// How a task that was settled before is held.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Hold {
    /// It starts exactly as often.
    Exactly,
    /// It starts at most as often.
    AtMost,
}

/// In which order turns are settled.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Order {
    /// As the formulation gives them.
    Given,
    /// The second turn first, all others together after it.
    SecondFirst,
}

/// Makes smaller programs of a network's program.
pub(super) struct Near<'a> {
    net: &'a Network,
    form: &'a Formulation,
    order: Order,
}

impl<'a> Near<'a> {
    pub(super) fn new(net: &'a Network, form: &'a Formulation, order: Order) -> Self {
        Self { net, form, order }
    }

    /// When a task is settled.
    pub(super) fn turn(&self, task: TaskId) -> u8 {
        let given = self.form.turn(task);
        match self.order {
            Order::Given => given,
            Order::SecondFirst => u8::from(given != 1),
        }
    }

    /// The turns of the network's whole tasks, in order.
    pub(super) fn turns(&self) -> Vec<u8> {
        let mut turns: Vec<u8> = self.whole_tasks().map(|(id, _)| self.turn(id)).collect();
        turns.sort_unstable();
        turns.dedup();
        turns
    }

    /// Tasks of turns before `turn` start as they do in `settled`.
    pub(super) fn held(&self, settled: &[f64], turn: u8, hold: Hold) -> Program {
        let mut program = self.form.program.clone();
        for (id, _) in self.whole_tasks() {
            if self.turn(id) < turn {
                for (_, column) in self.columns(id) {
                    let count = settled.get(column).copied().unwrap_or(0.0).round();
                    let exactly = hold == Hold::Exactly;
                    program.columns[column].lower = if exactly { count } else { 0.0 };
                    program.columns[column].upper = count;
                    program.columns[column].whole = !exactly;
                }
            }
        }
        program
    }

    /// In a program whose earlier turns are held, tasks of this turn are whole and later ones
    /// are not, and all of them start near `values`.
    pub(super) fn settling(
        &self,
        held: Program,
        turn: u8,
        values: &[f64],
        (width, within): (usize, f64),
    ) -> Program {
        let mut program = held;
        for (id, _) in self.whole_tasks() {
            if self.turn(id) < turn {
                continue;
            }
            if self.turn(id) > turn {
                for (_, column) in self.columns(id) {
                    program.columns[column].whole = false;
                }
            }
            self.restrict(&mut program, id, values, width);
            if self.turn(id) == turn {
                self.round(&mut program, id, values, within);
            }
        }
        program
    }

    /// Lets a task start only about as often as in `values`: as often where that is whole, else
    /// rounded down or up and `within` less or more. Infinitely many more or fewer are no limit.
    fn round(&self, program: &mut Program, id: TaskId, values: &[f64], within: f64) {
        for (_, column) in self.columns(id) {
            let (column, value) = (&mut program.columns[column], values[column]);
            let (least, most) = ((value + NOTHING).floor(), (value - NOTHING).ceil());
            let within = if least < most || within.is_infinite() {
                within
            } else {
                0.0
            };
            let (least, most) = (least - within, most + within);
            column.lower = column.lower.max(least.min(column.upper));
            column.upper = column.upper.min(most.max(column.lower));
        }
    }

    pub(super) fn program(&self) -> &Program {
        &self.form.program
    }

    pub(super) fn whole_tasks(&self) -> impl Iterator<Item = (TaskId, &'a Task)> {
        self.net
            .tasks()
            .filter(|(_, task)| task.count == Count::Whole)
    }

    /// Points at which a task may start, with their columns.
    pub(super) fn columns(&self, id: TaskId) -> Vec<(usize, usize)> {
        (0..self.net.points())
            .filter_map(|t| Some((t, self.form.starts(id, t)?)))
            .collect()
    }

    /// The points at which anything may start.
    pub(super) fn span(&self) -> Range<usize> {
        let points = self.whole_tasks().flat_map(|(id, _)| self.columns(id));
        let span = points.fold(None, |span: Option<Range<usize>>, (t, _)| {
            let (first, end) = span.map_or((t, t + 1), |s| (s.start.min(t), s.end.max(t + 1)));
            Some(first..end)
        });
        span.unwrap_or(0..0)
    }

    /// The column of the size of a start, if it has one.
    pub(super) fn size(&self, id: TaskId, t: usize) -> Option<usize> {
        self.form.size(id, t)
    }

    /// Lets a task start only within `width` points of where it starts in `values`.
    pub(super) fn restrict(&self, program: &mut Program, id: TaskId, values: &[f64], width: usize) {
        let columns = self.columns(id);
        if columns.len() <= FEW {
            return;
        }
        let started: Vec<usize> = columns
            .iter()
            .filter(|(_, column)| values[*column] > NOTHING)
            .map(|(t, _)| *t)
            .collect();
        for (t, column) in columns {
            if started.iter().any(|s| s.abs_diff(t) <= width) {
                continue;
            }
            program.columns[column].upper = 0.0;
            if let Some(size) = self.form.size(id, t) {
                program.columns[size].upper = 0.0;
            }
        }
    }
}
