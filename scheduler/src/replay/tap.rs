//! Kegs on tap: each is poured from until it is empty, and comes back after its service.

use std::collections::VecDeque;

/// Litres that are only a rounding: a keg with less is empty.
pub(super) const DROP_L: f64 = 0.1;

/// A keg on tap.
struct Open {
    litres: f64,
    /// Minute until which it is good.
    good_until: i64,
    /// Minute from which it may come back, once it is empty.
    free_at: i64,
}

/// Kegs of one product and type on tap, oldest first.
#[derive(Default)]
pub(super) struct Line {
    open: VecDeque<Open>,
    /// Minutes from which empty kegs may come back.
    empty: Vec<i64>,
    /// Litres left over by kegs that count as empty, to be poured with the next.
    drops: f64,
    /// Litres served from it so far.
    pub served: f64,
}

/// What was poured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Poured {
    pub litres: f64,
    /// Litres of it that were too old.
    pub too_old: f64,
}

impl Line {
    /// A keg is tapped.
    pub(super) fn tap(&mut self, litres: f64, good_until: i64) {
        self.open.push_back(Open {
            litres: litres + std::mem::take(&mut self.drops),
            good_until,
            free_at: i64::MIN,
        });
        self.clear();
    }

    /// Kegs that were emptied before wait to come back.
    pub(super) fn waiting(&mut self, kegs: u32, free_at: i64) {
        self.empty.extend((0..kegs).map(|_| free_at));
    }

    /// Kegs that have something in them: litres, and the minute until which they are good.
    pub(super) fn open(&self) -> impl Iterator<Item = (f64, i64)> {
        self.open.iter().map(|keg| (keg.litres, keg.good_until))
    }

    /// Minutes from which empty kegs may come back.
    pub(super) fn empty(&self) -> &[i64] {
        &self.empty
    }

    /// Litres there.
    pub(super) fn litres(&self) -> f64 {
        self.open.iter().map(|keg| keg.litres).sum()
    }

    /// Minute until which the oldest keg is good.
    pub(super) fn oldest(&self) -> Option<i64> {
        self.open.front().map(|keg| keg.good_until)
    }

    /// Pours, oldest keg first; kegs touched come back from `free_at` on.
    pub(super) fn pour(&mut self, litres: f64, minute: i64, free_at: i64) -> Poured {
        let mut missing = litres;
        let mut too_old = 0.0;
        while missing > 0.0 {
            let Some(keg) = self.open.front_mut() else {
                break;
            };
            let now = missing.min(keg.litres);
            keg.litres -= now;
            missing -= now;
            keg.free_at = keg.free_at.max(free_at);
            if keg.good_until < minute {
                too_old += now;
            }
            self.clear();
        }
        Poured {
            litres: litres - missing,
            too_old,
        }
    }

    /// Kegs with nothing but a drop left are empty. The drop is not lost: over many weeks they add
    /// up to more than a rounding.
    fn clear(&mut self) {
        while let Some(keg) = self.open.front().filter(|keg| keg.litres <= DROP_L) {
            self.empty.push(keg.free_at);
            let drop = keg.litres;
            self.open.pop_front();
            match self.open.front_mut() {
                Some(next) => next.litres += drop,
                None => self.drops += drop,
            }
        }
    }

    /// Takes back empty kegs; how many were there to take.
    pub(super) fn take_back(&mut self, kegs: u32, minute: i64) -> u32 {
        self.empty.sort_unstable();
        let free = self.empty.iter().take_while(|at| **at <= minute).count();
        let taken = free.min(kegs as usize);
        self.empty.drain(..taken);
        u32::try_from(taken).unwrap_or(kegs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_keg_is_poured_first_and_comes_back_after_its_service() {
        let mut line = Line::default();
        line.tap(5.0, 100);
        line.tap(18.0, 900);
        assert_eq!(
            line.pour(4.0, 90, 450),
            Poured {
                litres: 4.0,
                too_old: 0.0
            }
        );
        assert_eq!(line.take_back(1, 1000), 0);
        assert_eq!(
            line.pour(3.0, 200, 560),
            Poured {
                litres: 3.0,
                too_old: 1.0
            }
        );
        assert_eq!(line.take_back(1, 559), 0);
        assert_eq!(line.take_back(2, 560), 1);
        assert!((line.litres() - 16.0).abs() < 1e-9);
        assert_eq!(line.oldest(), Some(900));
    }

    #[test]
    fn drops_left_in_kegs_are_poured_with_the_next() {
        let mut line = Line::default();
        for n in 0..20 {
            line.tap(18.05, 9999);
            assert!(line.pour(18.0, n, n).litres >= 18.0 - 1e-9, "keg {n}");
        }
        // Each left 0.05 L, together one.
        line.tap(17.0, 9999);
        assert!((line.litres() - 18.0).abs() < DROP_L + 1e-9);
        assert!(line.take_back(20, 9999) >= 19);
    }

    #[test]
    fn no_more_is_poured_than_there_is() {
        let mut line = Line::default();
        line.tap(5.0, 100);
        assert!((line.pour(9.0, 50, 50).litres - 5.0).abs() < 1e-9);
    }
}
