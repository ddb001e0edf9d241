//! Batches of kegs that wait for their next step, oldest first.

use crate::plan::{Source, WorkId};

/// Kegs that become available at a step.
struct Batch {
    from: usize,
    item: Option<WorkId>,
    kegs: u32,
}

/// Batches of kegs that wait for their next step.
#[derive(Default)]
pub(super) struct Pool(Vec<Batch>);

impl Pool {
    /// Adds kegs that are available from a step on; `item` made them, or nobody did.
    pub(super) fn add(&mut self, from: usize, item: Option<WorkId>, kegs: u32) {
        self.0.push(Batch { from, item, kegs });
        self.0.sort_by_key(|batch| batch.from);
    }

    /// Takes kegs that are available at a step, oldest first.
    pub(super) fn take(&mut self, step: usize, kegs: u32) -> Vec<Source> {
        let mut left = kegs;
        let mut sources: Vec<Source> = Vec::new();
        for batch in self.0.iter_mut().filter(|batch| batch.from <= step) {
            let taken = batch.kegs.min(left);
            if taken == 0 {
                continue;
            }
            batch.kegs -= taken;
            left -= taken;
            let item = batch.item.clone();
            match sources.iter_mut().find(|s| s.item == item) {
                Some(source) => source.kegs += taken,
                None => sources.push(Source { item, kegs: taken }),
            }
        }
        self.0.retain(|batch| batch.kegs > 0);
        sources
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_go_first_and_none_before_their_time() {
        let mut pool = Pool::default();
        let late = WorkId::new("fill", 2);
        pool.add(9, Some(late.clone()), 2);
        pool.add(0, None, 3);
        assert_eq!(
            pool.take(5, 4),
            vec![Source {
                item: None,
                kegs: 3
            }]
        );
        let rest = Source {
            item: Some(late),
            kegs: 2,
        };
        assert_eq!(pool.take(9, 2), vec![rest]);
        assert!(pool.take(20, 1).is_empty());
    }
}
