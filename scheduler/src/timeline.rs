//! The grid of equal steps a plan lives on, and the site's clock beside it.
//!
//! Steps are equal lengths of real time, so a week with a clock change has 334 or 338 half hours;
//! shifts and daily draws follow the wall clock.

use chrono::{
    DateTime, Datelike, Days, Duration, FixedOffset, NaiveDate, NaiveTime, TimeZone, Utc,
};
use chrono_tz::Tz;

/// The grid of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    start: DateTime<Utc>,
    end: DateTime<Utc>,
    step: Duration,
    zone: Tz,
}

impl Timeline {
    /// So many `days` by the clock of a site in `zone`, in steps of `minutes`: it ends at the same
    /// wall-clock time that many days after its start.
    #[must_use]
    pub fn of_days(start: DateTime<Utc>, days: u8, minutes: u16, zone: Tz) -> Self {
        let local = start.with_timezone(&zone);
        let last_day = local.date_naive() + Days::new(u64::from(days));
        Self {
            start,
            end: instant(zone, last_day, local.time()),
            step: Duration::minutes(i64::from(minutes)),
            zone,
        }
    }

    /// The same grid, ending with the step before `end`.
    #[must_use]
    pub fn until(&self, end: DateTime<Utc>) -> Self {
        Self {
            end: end.min(self.end),
            ..self.clone()
        }
    }

    /// Number of whole steps; step `t` lasts from `at(t)` to `at(t + 1)`.
    #[must_use]
    pub fn steps(&self) -> usize {
        let steps = (self.end - self.start).num_minutes() / self.step.num_minutes();
        usize::try_from(steps).unwrap_or(0)
    }

    /// Minutes of a step.
    #[must_use]
    pub fn step_minutes(&self) -> f64 {
        self.step.as_seconds_f64() / 60.0
    }

    /// First instant.
    #[must_use]
    pub fn start(&self) -> DateTime<Utc> {
        self.start
    }

    /// Last instant.
    #[must_use]
    pub fn end(&self) -> DateTime<Utc> {
        self.end
    }

    /// Instant at which step `t` starts.
    #[must_use]
    pub fn at(&self, t: usize) -> DateTime<Utc> {
        self.start + self.step * i32::try_from(t).unwrap_or(i32::MAX)
    }

    /// The step that holds `when`; instants before the start belong to none.
    #[must_use]
    pub fn step_of(&self, when: DateTime<Utc>) -> Option<usize> {
        let minutes = (when - self.start).num_seconds().div_euclid(60);
        usize::try_from(minutes.div_euclid(self.step.num_minutes())).ok()
    }

    /// The first step that starts at `when` or later; 0 for instants before the start.
    #[must_use]
    pub fn step_from(&self, when: DateTime<Utc>) -> usize {
        let seconds = (when - self.start).num_seconds();
        let steps = (seconds + self.step.num_seconds() - 1).div_euclid(self.step.num_seconds());
        usize::try_from(steps).unwrap_or(0)
    }

    /// Steps needed for a stretch of `minutes`, rounded up.
    #[must_use]
    pub fn steps_for(&self, minutes: f64) -> usize {
        // A stretch that misses a step's end by less than a second does not need another one.
        let steps = ((minutes - 1.0 / 60.0) / self.step_minutes()).ceil();
        if steps <= 0.0 { 0 } else { steps as usize }
    }

    /// The same instant on the site's clock.
    #[must_use]
    pub fn local(&self, when: DateTime<Utc>) -> DateTime<Tz> {
        when.with_timezone(&self.zone)
    }

    /// The same instant on the site's clock, with a plain offset.
    #[must_use]
    pub fn stamp(&self, when: DateTime<Utc>) -> DateTime<FixedOffset> {
        self.local(when).fixed_offset()
    }

    /// The site's dates the grid touches.
    pub fn dates(&self) -> impl Iterator<Item = NaiveDate> + use<> {
        let first = self.local(self.start).date_naive();
        let last = self.local(self.end).date_naive();
        first.iter_days().take_while(move |day| *day <= last)
    }

    /// The end of each of the plan's days: the time of day at which it starts, one day later and so
    /// on, up to its end.
    pub fn day_ends(&self) -> impl Iterator<Item = DateTime<Utc>> + use<'_> {
        let time = self.local(self.start).time();
        self.dates()
            .skip(1)
            .map(move |day| self.instant(day, time))
            .filter(|at| *at <= self.end)
    }

    /// A wall-clock time on one of the site's dates, as an instant.
    #[must_use]
    pub fn instant(&self, date: NaiveDate, time: NaiveTime) -> DateTime<Utc> {
        instant(self.zone, date, time)
    }

    /// Instants of `time` on those dates of the grid whose weekday is wanted.
    pub fn daily<'a>(
        &'a self,
        wanted: impl Fn(chrono::Weekday) -> bool + 'a,
        time: NaiveTime,
    ) -> impl Iterator<Item = DateTime<Utc>> + 'a {
        self.dates()
            .filter(move |day| wanted(day.weekday()))
            .map(move |day| self.instant(day, time))
    }
}

/// A wall-clock time as an instant. A time that occurs twice means the first, a time that a clock
/// change skips means the first moment after it.
fn instant(zone: Tz, date: NaiveDate, time: NaiveTime) -> DateTime<Utc> {
    let wall = date.and_time(time);
    // No zone skips more than a day.
    (0..=24 * 4)
        .find_map(|quarter| {
            zone.from_local_datetime(&(wall + Duration::minutes(15 * quarter)))
                .earliest()
        })
        .map_or_else(|| wall.and_utc(), |at| at.with_timezone(&Utc))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn week(start: &str, zone: Tz) -> Timeline {
        let start = DateTime::parse_from_rfc3339(start).unwrap();
        Timeline::of_days(start.to_utc(), 7, 30, zone)
    }

    #[test]
    fn a_week_with_a_clock_change_is_an_hour_shorter_or_longer() {
        let zone = Tz::Europe__Lisbon;
        assert_eq!(week("2026-06-01T06:00:00+01:00", zone).steps(), 336);
        // EU clocks change on 29 March and 25 October 2026 (Directive 2000/84/EC: last Sundays).
        assert_eq!(week("2026-03-23T06:00:00+00:00", zone).steps(), 334);
        assert_eq!(week("2026-10-19T06:00:00+01:00", zone).steps(), 338);
    }

    #[test]
    fn a_skipped_time_means_the_first_moment_after_it() {
        let line = week("2026-03-23T06:00:00+00:00", Tz::Europe__Lisbon);
        let date = NaiveDate::from_ymd_opt(2026, 3, 29).unwrap();
        let skipped = NaiveTime::from_hms_opt(1, 30, 0).unwrap();
        let at = line.instant(date, skipped);
        assert_eq!(line.stamp(at).to_rfc3339(), "2026-03-29T02:00:00+01:00");
    }

    #[test]
    fn a_time_that_occurs_twice_means_the_first() {
        let line = week("2026-10-19T06:00:00+01:00", Tz::Europe__Lisbon);
        let date = NaiveDate::from_ymd_opt(2026, 10, 25).unwrap();
        let twice = NaiveTime::from_hms_opt(1, 30, 0).unwrap();
        assert_eq!(
            line.stamp(line.instant(date, twice)).to_rfc3339(),
            "2026-10-25T01:30:00+01:00"
        );
    }

    #[test]
    fn days_end_at_the_time_of_day_at_which_they_start() {
        let line = week("2026-03-23T06:00:00+00:00", Tz::Europe__Lisbon);
        let ends: Vec<_> = line.day_ends().collect();
        assert_eq!(ends.len(), 7);
        assert_eq!(ends[6], line.end());
        // Sunday's ends after 23 hours.
        assert_eq!((ends[5] - ends[4]).num_hours(), 23);
    }

    #[test]
    fn steps_round_up_but_not_for_a_hair() {
        let line = week("2026-06-01T06:00:00+01:00", Tz::Europe__Lisbon);
        assert_eq!(line.steps_for(0.0), 0);
        assert_eq!(line.steps_for(30.0), 1);
        assert_eq!(line.steps_for(30.001), 1);
        assert_eq!(line.steps_for(31.0), 2);
    }
}
