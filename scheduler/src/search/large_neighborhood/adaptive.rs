//! Choosing neighbourhoods by what has paid: the adaptive layer of Ropke & Pisinger (Transportation
//! Science 40:455, 2006).
//!
//! What a neighbourhood is paid is the worth it gains for what it costs. As gains grow smaller
//! during a search, what was paid long ago loses its weight whenever the neighbourhood is chosen
//! again. Costs are counted in steps of the simplex method, not in seconds, so that every machine
//! chooses the same.

use super::destroy::{ALL, Neighborhood};

/// Starts that a neighbourhood sets free at the least and at the most.
const SIZES: (f64, f64) = (50.0, 20_000.0);

/// Starts that a neighbourhood sets free at first. Few of all starts of a stretch are ever used, so
/// that there may be more of them.
fn first_size(kind: Neighborhood) -> f64 {
    match kind {
        Neighborhood::Stretch => 800.0,
        Neighborhood::Induced => 150.0,
        _ => 350.0,
    }
}

/// How much larger a neighbourhood grows where all of it was searched for nothing, the same where
/// that cost less than handing it over, and how much smaller where it was too large for that.
const GROWS: f64 = 1.15;
const GROWS_CHEAP: f64 = 1.4;
const SHRINKS: f64 = 0.8;

/// How much the newest payment counts.
const REACTION: f64 = 0.3;

/// Part of the choices that is spread evenly, whatever has paid.
const EVEN: f64 = 0.3;

/// Steps of the simplex method that handing over a program costs about as much as.
const HANDING_OVER: f64 = 500.0;

/// How a step ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ended {
    /// Worth that was gained.
    pub gain: f64,
    /// Steps of the simplex method.
    pub iterations: u64,
    /// Whether all of the neighbourhood was searched.
    pub proven: bool,
}

/// What one kind of neighbourhood has paid.
#[derive(Debug, Clone, Copy)]
struct Arm {
    kind: Neighborhood,
    /// Worth gained for a step of the simplex method; nothing is known before the first.
    paid: Option<f64>,
    size: f64,
}

/// What all kinds have paid.
#[derive(Debug, Clone)]
pub(in crate::search) struct Adaptive {
    arms: Vec<Arm>,
}

impl Adaptive {
    pub(in crate::search) fn new() -> Self {
        let arm = |kind: &Neighborhood| Arm {
            kind: *kind,
            paid: None,
            size: first_size(*kind),
        };
        Self {
            arms: ALL.iter().map(arm).collect(),
        }
    }

    /// A kind of neighbourhood and its size. Each kind is tried once before any is chosen again.
    pub(super) fn choose(&self, random: &mut fastrand::Rng) -> (Neighborhood, usize) {
        let untried = self.arms.iter().filter(|arm| arm.paid.is_none());
        let untried: Vec<&Arm> = untried.collect();
        let arm = match random.choice(&untried) {
            Some(arm) => arm,
            None => self.drawn(random.f64()),
        };
        (arm.kind, arm.size as usize)
    }

    /// The kind that a number from 0 to 1 stands for, each as wide as it has paid.
    fn drawn(&self, mut at: f64) -> &Arm {
        let paid = |arm: &Arm| arm.paid.unwrap_or(0.0);
        let all: f64 = self.arms.iter().map(paid).sum();
        let even = 1.0 / self.arms.len() as f64;
        for arm in &self.arms {
            let share = match all > 0.0 {
                true => EVEN * even + (1.0 - EVEN) * paid(arm) / all,
                false => even,
            };
            if at < share {
                return arm;
            }
            at -= share;
        }
        &self.arms[self.arms.len() - 1]
    }

    /// Learns how a step with a kind of neighbourhood ended.
    pub(super) fn learn(&mut self, kind: Neighborhood, ended: Ended) {
        let paid = ended.gain / (ended.iterations as f64 + HANDING_OVER);
        for arm in self.arms.iter_mut().filter(|arm| arm.kind == kind) {
            let before = arm.paid.unwrap_or(paid);
            arm.paid = Some(before + REACTION * (paid - before));
            let change = match (ended.proven, ended.gain > 0.0) {
                (true, false) if (ended.iterations as f64) < HANDING_OVER => GROWS_CHEAP,
                (true, false) => GROWS,
                (true, true) => 1.0,
                (false, _) => SHRINKS,
            };
            arm.size = (arm.size * change).clamp(SIZES.0, SIZES.1);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_paid_is_chosen_more_often() {
        let mut adaptive = Adaptive::new();
        let mut random = fastrand::Rng::with_seed(1);
        for _ in ALL {
            let (kind, _) = adaptive.choose(&mut random);
            let gain = if kind == Neighborhood::Induced {
                9.0
            } else {
                0.0
            };
            let ended = Ended {
                gain,
                iterations: 500,
                proven: true,
            };
            adaptive.learn(kind, ended);
        }
        let tried = |arm: &Arm| arm.paid.is_some();
        assert!(adaptive.arms.iter().all(tried), "each is tried once");
        let chosen = (0..1000).filter(|_| adaptive.choose(&mut random).0 == Neighborhood::Induced);
        // 0.7 + 0.3 / 6 of all choices, within four standard deviations.
        assert!((690..=810).contains(&chosen.count()));
    }

    #[test]
    fn a_neighbourhood_grows_where_it_is_too_small_and_shrinks_where_it_is_too_large() {
        let mut adaptive = Adaptive::new();
        let ended = |gain, proven| Ended {
            gain,
            iterations: 1,
            proven,
        };
        let mut size = |ended| {
            adaptive.learn(Neighborhood::Near, ended);
            let arm = adaptive.arms.iter().find(|a| a.kind == Neighborhood::Near);
            arm.unwrap().size
        };
        let first = size(ended(1.0, true));
        let grown = size(ended(0.0, true));
        assert!(grown > first);
        assert!(size(ended(1.0, false)) < grown);
    }
}
