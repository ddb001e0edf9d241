//! Kegs that are on tap when the plan starts.

use chrono::{DateTime, Duration, Utc};

use super::supplies::expiry;
use crate::scenario::{KegType, Product, Scenario};
use crate::timeline::Timeline;

/// A keg on tap at the start.
pub(super) struct OpenKeg {
    /// Litres it still yields.
    pub litres: f64,
    /// Until when they are good.
    pub good_until: DateTime<Utc>,
}

/// Kegs of one product and type on tap at the start, oldest first.
pub(super) struct OpenKegs {
    pub kegs: Vec<OpenKeg>,
}

impl OpenKegs {
    pub(super) fn of(
        scenario: &Scenario,
        (product, keg): (&Product, &KegType),
        yields: f64,
    ) -> Self {
        let life = Duration::seconds((product.on_tap_h.hours() * 3600.0) as i64);
        let open = scenario.stock.on_tap.iter();
        let mut kegs: Vec<OpenKeg> = open
            .filter(|t| t.product == product.id && t.keg_type == keg.id)
            .map(|t| OpenKeg {
                // Foam and lines take their part of a full keg, too.
                litres: t.litres.litres().min(yields),
                good_until: t.tapped_at.to_utc() + life,
            })
            .collect();
        kegs.sort_by_key(|keg| keg.good_until);
        Self { kegs }
    }

    /// Litres that were too old before the plan starts; they are poured away at once.
    pub(super) fn too_old(&self, timeline: &Timeline) -> f64 {
        let old = self.kegs.iter().filter(|k| k.good_until < timeline.start());
        old.map(|k| k.litres).sum()
    }

    /// Litres in kegs whose time is over at each step, or was over before.
    pub(super) fn expiring(&self, timeline: &Timeline, steps: usize) -> Vec<f64> {
        let mut litres = vec![0.0; steps + 1];
        for keg in &self.kegs {
            if let Some(step) = expiry(timeline, keg.good_until)
                && let Some(at) = litres.get_mut(step)
            {
                *at += keg.litres;
            }
        }
        litres
    }

    /// What counts as drained of them, and from which step on: a keg comes back once as much as it
    /// yields has been drained.
    ///
    /// The oldest is emptied first, so what is missing from the next one counts only when the one
    /// before it must be empty.
    pub(super) fn drained(&self, timeline: &Timeline, yields: f64) -> Vec<(usize, f64)> {
        let mut from = Some(0);
        let mut drained = Vec::new();
        for keg in &self.kegs {
            drained.extend(from.map(|step| (step, yields - keg.litres)));
            from = from.and(expiry(timeline, keg.good_until));
        }
        drained
    }
}

#[cfg(test)]
mod tests {
    use chrono_tz::Tz;

    use super::*;
    use crate::scenario::{Grid, Horizon};

    /// Kegs of 18 L, with 5 and 15 L left; the first is good until noon. Before noon only the first
    /// can be empty, after 5 L: 13 of 18 L are drained at the start, 3 more from noon on.
    #[test]
    fn the_second_keg_is_not_begun_before_the_first_is_empty() {
        let horizon = Horizon {
            start: DateTime::parse_from_rfc3339("2026-06-01T06:00:00+01:00").unwrap(),
            days: 1,
            until: None,
            grid_minutes: Grid::Half,
        };
        let timeline = horizon.timeline(Tz::Europe__Lisbon);
        let keg = |litres: f64, hours: i64| OpenKeg {
            litres,
            good_until: timeline.start() + Duration::hours(hours),
        };
        let open = OpenKegs {
            kegs: vec![keg(5.0, 6), keg(15.0, 30), keg(16.0, 40)],
        };
        assert_eq!(open.drained(&timeline, 18.0), [(0, 13.0), (12, 3.0)]);
        assert!(open.too_old(&timeline) <= 0.0);
        // Of what is left, 5 L reach their time at noon; the others outlast the day.
        let expiring = open.expiring(&timeline, timeline.steps());
        assert_eq!(expiring.iter().position(|l| *l > 0.0), Some(12));
        assert!((expiring.iter().sum::<f64>() - 5.0).abs() < 1e-9);
    }
}
