//! Times as people type them, on the site's clock.

use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, NaiveTime};
use scheduler::scenario::{Scenario, Weekday};

use crate::text::typed::{day_and_time, time_of_day};

/// Reads an instant: RFC 3339, or date and time on the site's clock, or a weekday and time, which
/// means the first such instant in the scenario's horizon. Times of day are read as in every other
/// place where people type them.
pub(crate) fn instant(text: &str, scenario: &Scenario) -> Result<DateTime<FixedOffset>, String> {
    let text = text.trim();
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    if let Ok(at) = DateTime::parse_from_rfc3339(text) {
        return Ok(at);
    }
    if let Some((date, time)) = date_and_time(text) {
        return Ok(timeline.stamp(timeline.instant(date, time)));
    }
    let (day, time) = day_and_time(text).map_err(|_| {
        format!(
            "--by: \"{text}\" found; a time such as 2026-06-05T17:00:00+01:00, \
             \"2026-06-05 17:00\", \"friday 17:00\" or \"friday 5pm\" is allowed"
        )
    })?;
    let first = timeline
        .dates()
        .filter(|date| Weekday::from(date.weekday()) == day)
        .map(|date| timeline.instant(date, time))
        .find(|at| (timeline.start()..=timeline.end()).contains(at));
    first.map(|at| timeline.stamp(at)).ok_or_else(|| {
        format!(
            "--by: \"{text}\" found; the scenario runs from {} to {} and has no such time",
            timeline.stamp(timeline.start()).to_rfc3339(),
            timeline.stamp(timeline.end()).to_rfc3339()
        )
    })
}

fn date_and_time(text: &str) -> Option<(NaiveDate, NaiveTime)> {
    let (date, time) = text.split_once(['T', ' '])?;
    let date = NaiveDate::parse_from_str(date, "%Y-%m-%d").ok()?;
    // Other programs write seconds.
    let to_the_second = || NaiveTime::parse_from_str(time.trim(), "%H:%M:%S").ok();
    let time = time_of_day(time).ok().or_else(to_the_second)?;
    Some((date, time))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: Result<&str, &str>) {
        let scenario = scheduler::sample::fixed();
        match (instant(text, &scenario), expected) {
            (Ok(found), Ok(at)) => assert_eq!(found.to_rfc3339(), at, "{text}"),
            (Err(found), Err(part)) => assert!(found.contains(part), "{text}: {found}"),
            (found, _) => panic!("{text}: {found:?}"),
        }
    }

    #[test]
    fn times_are_read_as_people_type_them() {
        let friday = Ok("2026-06-05T17:00:00+01:00");
        check("2026-06-05T17:00:00+01:00", friday);
        check("2026-06-05T17:00", friday);
        check("2026-06-05 17:00", friday);
        check("friday 17:00", friday);
        check("Fri 17:00", friday);
        check("friday 5pm", friday);
        check("Friday at five o'clock", friday);
        check("2026-06-05 5pm", friday);
        check("2026-06-05 17:00:30", Ok("2026-06-05T17:00:30+01:00"));
        // The horizon starts on Monday at six: five o'clock on a Monday is a week later.
        check("monday 05:00", Ok("2026-06-08T05:00:00+01:00"));
    }

    #[test]
    fn what_is_not_a_time_says_what_is() {
        check("soon", Err("\"friday 5pm\" is allowed"));
        check("friday 25:00", Err("is allowed"));
        check("", Err("is allowed"));
    }
}
