//! Batches of kegs that wait for their next step, oldest first.

use crate::plan::{Source, WorkId};

/// Kegs that become available at a step.
#[derive(Clone)]
struct Batch<T> {
    from: usize,
    item: Option<WorkId>,
    kegs: u32,
    known: T,
}

/// Batches of kegs that wait for their next step, and what is known of each.
#[derive(Clone)]
pub(super) struct Pool<T = ()>(Vec<Batch<T>>);

/// Kegs of one batch.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Taken<T> {
    pub item: Option<WorkId>,
    pub kegs: u32,
    pub known: T,
}

impl<T> Default for Pool<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: Copy> Pool<T> {
    /// Adds kegs that are available from a step on; `item` made them, or nobody did.
    pub(super) fn add(&mut self, from: usize, item: Option<WorkId>, kegs: u32, known: T) {
        self.0.push(Batch {
            from,
            item,
            kegs,
            known,
        });
        self.0.sort_by_key(|batch| batch.from);
    }

    /// Takes kegs that are available at a step, oldest first.
    pub(super) fn take(&mut self, step: usize, kegs: u32) -> Vec<Taken<T>> {
        let there: Vec<usize> = (0..self.0.len()).collect();
        self.take_in_order(there, step, kegs)
    }

    /// Takes kegs that are available at a step, newest first.
    pub(super) fn take_newest(&mut self, step: usize, kegs: u32) -> Vec<Taken<T>> {
        let there: Vec<usize> = (0..self.0.len()).rev().collect();
        self.take_in_order(there, step, kegs)
    }

    fn take_in_order(&mut self, order: Vec<usize>, step: usize, kegs: u32) -> Vec<Taken<T>> {
        let mut left = kegs;
        let mut all = Vec::new();
        for n in order {
            let batch = &mut self.0[n];
            if batch.from > step {
                continue;
            }
            let taken = batch.kegs.min(left);
            if taken == 0 {
                continue;
            }
            batch.kegs -= taken;
            left -= taken;
            all.push(Taken {
                item: batch.item.clone(),
                kegs: taken,
                known: batch.known,
            });
        }
        self.0.retain(|batch| batch.kegs > 0);
        all
    }
}

/// Where kegs come from, as a work item says it.
pub(super) fn sources<T>(all: &[Taken<T>]) -> Vec<Source> {
    let mut sources: Vec<Source> = Vec::new();
    for taken in all {
        match sources.iter_mut().find(|s| s.item == taken.item) {
            Some(source) => source.kegs += taken.kegs,
            None => sources.push(Source {
                item: taken.item.clone(),
                kegs: taken.kegs,
            }),
        }
    }
    sources
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_go_first_and_none_before_their_time() {
        let mut pool = Pool::default();
        let late = WorkId::new("fill", 2);
        pool.add(9, Some(late.clone()), 2, ());
        pool.add(0, None, 3, ());
        assert_eq!(
            sources(&pool.take(5, 4)),
            vec![Source {
                item: None,
                kegs: 3
            }]
        );
        let rest = Source {
            item: Some(late),
            kegs: 2,
        };
        assert_eq!(sources(&pool.take(9, 2)), vec![rest]);
        assert!(pool.take(20, 1).is_empty());
    }
}
