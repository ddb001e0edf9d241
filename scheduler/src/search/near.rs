//! Smaller programs near a relaxation's solution.

use crate::milp::{Formulation, Program};
use crate::network::{Count, Network, Task, TaskId};

/// Values below this count as nothing.
const NOTHING: f64 = 1e-6;

/// Tasks that follow and can start at so few points stay free: they cost little.
const FEW: usize = 10;

/// Makes smaller programs of a network's program.
pub(super) struct Near<'a> {
    net: &'a Network,
    form: &'a Formulation,
}

impl<'a> Near<'a> {
    pub(super) fn new(net: &'a Network, form: &'a Formulation) -> Self {
        Self { net, form }
    }

    /// Only the leading tasks are whole, and all start near `values`. Without leading tasks, all
    /// whole tasks lead.
    pub(super) fn leading(&self, values: &[f64], width: usize) -> Program {
        let mut program = self.form.program.clone();
        for (id, task) in self.whole_tasks() {
            if !self.leads(task) {
                for (_, column) in self.columns(id) {
                    program.columns[column].whole = false;
                }
            }
            self.restrict(&mut program, id, task, values, width);
        }
        program
    }

    /// All whole tasks are whole and start near `values`.
    pub(super) fn all(&self, values: &[f64], width: usize) -> Program {
        let mut program = self.form.program.clone();
        for (id, task) in self.whole_tasks() {
            self.restrict(&mut program, id, task, values, width);
        }
        program
    }

    /// The leading tasks start as they do in `values`.
    pub(super) fn fixed(&self, values: &[f64]) -> Program {
        self.held(values, true)
    }

    /// The leading tasks start at most as often as they do in `values`.
    pub(super) fn capped(&self, values: &[f64]) -> Program {
        self.held(values, false)
    }

    fn held(&self, values: &[f64], exactly: bool) -> Program {
        let mut program = self.form.program.clone();
        for (id, task) in self.whole_tasks() {
            if self.leads(task) {
                for (_, column) in self.columns(id) {
                    let count = values[column].round();
                    program.columns[column].lower = if exactly { count } else { 0.0 };
                    program.columns[column].upper = count;
                    program.columns[column].whole = !exactly;
                }
            }
        }
        program
    }

    /// In a program whose leading tasks are fixed, the others start near `values`.
    pub(super) fn following(&self, fixed: Program, values: &[f64], width: usize) -> Program {
        let mut program = fixed;
        for (id, task) in self.whole_tasks() {
            if !self.leads(task) {
                self.restrict(&mut program, id, task, values, width);
            }
        }
        program
    }

    fn whole_tasks(&self) -> impl Iterator<Item = (TaskId, &'a Task)> {
        self.net
            .tasks()
            .filter(|(_, task)| task.count == Count::Whole)
    }

    fn leads(&self, task: &Task) -> bool {
        task.leads || !self.net.tasks().any(|(_, task)| task.leads)
    }

    /// Points at which a task may start, with their columns.
    fn columns(&self, id: TaskId) -> Vec<(usize, usize)> {
        (0..self.net.points())
            .filter_map(|t| Some((t, self.form.starts(id, t)?)))
            .collect()
    }

    /// Lets a task start only within `width` points of where it starts in `values`.
    fn restrict(
        &self,
        program: &mut Program,
        id: TaskId,
        task: &Task,
        values: &[f64],
        width: usize,
    ) {
        let columns = self.columns(id);
        if !self.leads(task) && columns.len() <= FEW {
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
