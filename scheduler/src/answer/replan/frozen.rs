//! Work inside the frozen window: its starts are given, so what they move comes from outside.

use super::published::Published;
use crate::decode::Start;
use crate::mapping::{SodaNetwork, Work};

/// Whether the frozen window holds a kind of work. What happens at a service follows from what is
/// ready then, and is not frozen.
fn holds(work: Work) -> bool {
    matches!(
        work,
        Work::Boil { .. } | Work::Fill { .. } | Work::Gas { .. } | Work::Wash { .. }
    )
}

/// Starts that are given, and what they are worth together.
#[derive(Default)]
pub(super) struct Frozen {
    pub starts: Vec<Start>,
    pub worth: f64,
}

/// Takes the published work of the first `steps` steps out of what is decided.
pub(super) fn freeze(soda: &mut SodaNetwork, published: &Published, steps: usize) -> Frozen {
    let mut frozen = Frozen::default();
    let points = soda.net.points();
    let tasks: Vec<_> = soda.net.tasks().map(|(id, _)| id).collect();
    for (id, work) in tasks.into_iter().zip(soda.work.clone()) {
        if !holds(work) {
            continue;
        }
        for t in 0..steps.min(points) {
            soda.net.task_mut(id).most.set(t, points, 0.0);
            let Some(kept) = published.get(&(id, t)) else {
                continue;
            };
            let (count, size) = (f64::from(kept.count), kept.size.unwrap_or(0.0));
            let task = soda.net.task(id).clone();
            for change in &task.moves {
                let amount = change.per_start * count + change.per_size * size;
                let resource = soda.net.resource_mut(change.resource);
                resource.supply(t + change.offset, amount);
            }
            frozen.worth += task.worth_per_start.at(t) * count + task.worth_per_size * size;
            frozen.starts.push(Start {
                work,
                step: t,
                count: kept.count,
                size,
            });
        }
    }
    frozen
}
