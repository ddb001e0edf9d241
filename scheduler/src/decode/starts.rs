//! Which tasks the program starts.

use crate::mapping::{SodaNetwork, Work};
use crate::milp::Formulation;

/// Sizes and counts below this are nothing but rounding.
const NOTHING: f64 = 1e-4;

/// A task started at a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Start {
    /// What it means.
    pub work: Work,
    /// The step.
    pub step: usize,
    /// How often.
    pub count: u32,
    /// Its size, in litres or kilograms, where it has one.
    pub size: f64,
}

/// All starts, in order of time.
pub(crate) fn starts(soda: &SodaNetwork, form: &Formulation, values: &[f64]) -> Vec<Start> {
    let mut all = Vec::new();
    for ((id, task), work) in soda.net.tasks().zip(&soda.work) {
        for step in 0..soda.net.points() {
            let Some(column) = form.starts(id, step) else {
                continue;
            };
            let size = form.size(id, step).map_or(0.0, |c| values[c]);
            let count = values[column].round().max(0.0) as u32;
            let happens = if task.size.is_some() {
                size > NOTHING
            } else {
                count > 0
            };
            if happens {
                let work = *work;
                all.push(Start {
                    work,
                    step,
                    count,
                    size,
                });
            }
        }
    }
    all.sort_by_key(|start| start.step);
    all
}
