//! A level that is followed minute by minute.

use crate::plan::WorkId;

/// Changes of a level, by minute. What comes and what is used in the same minute is one change:
/// what comes is there for what is used.
pub(super) struct Level<'a> {
    start: f64,
    changes: Vec<f64>,
    /// Which item last used it or added to it, by minute.
    items: Vec<(usize, &'a WorkId)>,
}

/// A stretch of minutes in which a level is out of bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Excursion<'a> {
    /// First minute.
    pub minute: usize,
    /// The level farthest out.
    pub worst: f64,
    /// The item that moved it out.
    pub item: Option<&'a WorkId>,
}

impl<'a> Level<'a> {
    pub(super) fn starting(start: f64, minutes: usize) -> Self {
        Self {
            start,
            changes: vec![0.0; minutes + 1],
            items: Vec::new(),
        }
    }

    /// Changes the level from a minute on; past the horizon nothing is followed.
    pub(super) fn change(&mut self, minute: usize, amount: f64, item: &'a WorkId) {
        if let Some(change) = self.changes.get_mut(minute) {
            *change += amount;
            self.items.push((minute, item));
        }
    }

    /// Changes the level by what no item of the plan does.
    pub(super) fn supply(&mut self, minute: usize, amount: f64) {
        if let Some(change) = self.changes.get_mut(minute) {
            *change += amount;
        }
    }

    /// Takes what is out of service in each minute as taken.
    pub(super) fn lose(&mut self, lost: &[f64]) {
        let mut before = 0.0;
        for (minute, now) in lost.iter().enumerate() {
            self.supply(minute, now - before);
            before = *now;
        }
    }

    /// The level after a minute's changes.
    pub(super) fn at(&self, minute: usize) -> f64 {
        self.levels().nth(minute).unwrap_or(self.start)
    }

    /// Adds an amount from one minute until another.
    pub(super) fn hold(&mut self, from: usize, until: usize, amount: f64, item: &'a WorkId) {
        self.change(from, amount, item);
        self.change(until, -amount, item);
    }

    /// The level after each minute's changes.
    pub(super) fn levels(&self) -> impl Iterator<Item = f64> {
        self.changes.iter().scan(self.start, |level, change| {
            *level += change;
            Some(*level)
        })
    }

    /// The highest level.
    pub(super) fn highest(&self) -> f64 {
        self.levels().fold(self.start, f64::max)
    }

    /// The lowest level.
    pub(super) fn lowest(&self) -> f64 {
        self.levels().fold(self.start, f64::min)
    }

    /// Stretches above a limit.
    pub(super) fn above(&self, limit: f64) -> Vec<Excursion<'a>> {
        self.excursions(|level| level - limit)
    }

    /// Stretches below a limit.
    pub(super) fn below(&self, limit: f64) -> Vec<Excursion<'a>> {
        self.excursions(|level| limit - level)
    }

    fn excursions(&self, over: impl Fn(f64) -> f64) -> Vec<Excursion<'a>> {
        let mut found: Vec<Excursion<'a>> = Vec::new();
        let mut outside = false;
        for (minute, level) in self.levels().enumerate() {
            if over(level) <= 0.0 {
                outside = false;
                continue;
            }
            match found.last_mut().filter(|_| outside) {
                Some(now) if over(level) > over(now.worst) => now.worst = level,
                Some(_) => {}
                None => found.push(Excursion {
                    minute,
                    worst: level,
                    item: self.item_at(minute),
                }),
            }
            outside = true;
        }
        found
    }

    fn item_at(&self, minute: usize) -> Option<&'a WorkId> {
        let of_minute = self.items.iter().filter(|(at, _)| *at == minute);
        of_minute.map(|(_, item)| *item).next_back()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stretch_out_of_bounds_is_told_once_with_its_worst() {
        let id = WorkId::new("wash", 1);
        let mut level = Level::starting(2.0, 10);
        level.hold(2, 5, 1.0, &id);
        level.hold(3, 4, 2.0, &id);
        level.change(8, 1.5, &id);
        let found: Vec<_> = level
            .above(2.5)
            .iter()
            .map(|e| (e.minute, e.worst))
            .collect();
        assert_eq!(found, [(2, 5.0), (8, 3.5)]);
        assert!(level.below(1.9).is_empty());
    }

    #[test]
    fn what_comes_in_a_minute_is_there_for_what_is_used_in_it() {
        let id = WorkId::new("wash", 1);
        let mut level = Level::starting(0.0, 3);
        level.change(1, -1.0, &id);
        level.change(1, 1.0, &id);
        assert!(level.below(0.0).is_empty());
    }
}
