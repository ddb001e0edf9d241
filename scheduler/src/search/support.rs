//! The part of a program near the relaxation's solution.

use crate::milp::{Formulation, Program};
use crate::network::{Count, Network};

/// Values below this count as nothing.
const NOTHING: f64 = 1e-6;

/// The program with whole tasks that may start at many points allowed only within `width` points
/// of a start of the relaxation. Tasks with few possible starts stay free: they cost little.
pub(super) fn near(net: &Network, form: &Formulation, relaxed: &[f64], width: usize) -> Program {
    let mut program = form.program.clone();
    let few = net.points() / 8;
    for (id, task) in net.tasks() {
        if task.count != Count::Whole {
            continue;
        }
        let columns: Vec<(usize, usize)> = (0..net.points())
            .filter_map(|t| Some((t, form.starts(id, t)?)))
            .collect();
        if columns.len() <= few {
            continue;
        }
        let started: Vec<usize> = columns
            .iter()
            .filter(|(_, column)| relaxed[*column] > NOTHING)
            .map(|(t, _)| *t)
            .collect();
        for (t, column) in columns {
            if !started.iter().any(|s| s.abs_diff(t) <= width) {
                program.columns[column].upper = 0.0;
                if let Some(size) = form.size(id, t) {
                    program.columns[size].upper = 0.0;
                }
            }
        }
    }
    program
}
