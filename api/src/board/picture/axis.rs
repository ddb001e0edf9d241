//! The time axis: which stretch is shown, and where an instant stands in it.

use crate::text::locale::Locale;
use chrono::{DateTime, FixedOffset, NaiveTime, TimeZone};
use chrono_tz::Tz;

/// Width of the plot, in units of the drawing.
pub(super) const WIDTH: f64 = 1200.0;
/// Room for the names of lanes, left of the plot.
pub(super) const MARGIN: f64 = 178.0;

/// A stretch of time on a site's clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::board) struct View {
    pub(in crate::board) from: DateTime<FixedOffset>,
    pub(in crate::board) to: DateTime<FixedOffset>,
    pub(in crate::board) zone: Tz,
}

/// A line across the picture.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    pub(super) x: f64,
    pub(super) name: String,
    /// Whether a day begins here.
    pub(super) day: bool,
}

impl View {
    /// Where an instant stands; outside of the plot for what is not shown.
    pub(super) fn x(&self, at: DateTime<FixedOffset>) -> f64 {
        let all = (self.to - self.from).num_seconds().max(1) as f64;
        MARGIN + (at - self.from).num_seconds() as f64 / all * WIDTH
    }

    /// The same, held inside the plot.
    pub(super) fn inside(&self, at: DateTime<FixedOffset>) -> f64 {
        self.x(at.clamp(self.from, self.to))
    }

    pub(super) fn shows(&self, from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> bool {
        from < self.to && to > self.from
    }

    fn hours(&self) -> i64 {
        (self.to - self.from).num_hours()
    }

    /// Midnights, and hours where there is room for them.
    pub(super) fn ticks(&self, locale: Locale) -> Vec<Tick> {
        let every = match self.hours() {
            0..=12 => 1,
            13..=30 => 2,
            31..=80 => 6,
            _ => 24,
        };
        let mut found = Vec::new();
        let mut day = self.from.with_timezone(&self.zone).date_naive();
        let last = self.to.with_timezone(&self.zone).date_naive();
        while day <= last {
            for hour in (0..24).step_by(every) {
                let time = NaiveTime::from_hms_opt(hour, 0, 0).unwrap_or_default();
                // An hour that the clock leaves out has no line.
                let Some(at) = self
                    .zone
                    .from_local_datetime(&day.and_time(time))
                    .earliest()
                else {
                    continue;
                };
                let at = at.fixed_offset();
                if at < self.from || at >= self.to {
                    continue;
                }
                found.push(Tick {
                    x: self.x(at),
                    name: if hour == 0 {
                        locale.short_day(day)
                    } else {
                        time.format("%H").to_string()
                    },
                    day: hour == 0,
                });
            }
            let Some(next) = day.succ_opt() else { break };
            day = next;
        }
        found
    }
}
