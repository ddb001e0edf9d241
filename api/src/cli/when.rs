//! Times as people type them, on the site's clock.

use chrono::{DateTime, Datelike, FixedOffset, NaiveDateTime, NaiveTime, Weekday};
use scheduler::scenario::Scenario;

/// Reads an instant: RFC 3339, or date and time on the site's clock, or a weekday and time, which
/// means the first such instant in the scenario's horizon.
pub(crate) fn instant(text: &str, scenario: &Scenario) -> Result<DateTime<FixedOffset>, String> {
    let text = text.trim();
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    if let Ok(at) = DateTime::parse_from_rfc3339(text) {
        return Ok(at);
    }
    if let Some(at) = wall_clock(text) {
        return Ok(timeline.stamp(timeline.instant(at.date(), at.time())));
    }
    let (day, time) = weekday(text).ok_or_else(|| {
        format!(
            "--by: \"{text}\" found; a time such as 2026-06-05T17:00:00+01:00, \
             \"2026-06-05 17:00\" or \"friday 17:00\" is allowed"
        )
    })?;
    let first = timeline
        .dates()
        .filter(|date| date.weekday() == day)
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

fn wall_clock(text: &str) -> Option<NaiveDateTime> {
    [
        "%Y-%m-%dT%H:%M",
        "%Y-%m-%d %H:%M",
        "%Y-%m-%dT%H:%M:%S",
        "%Y-%m-%d %H:%M:%S",
    ]
    .iter()
    .find_map(|format| NaiveDateTime::parse_from_str(text, format).ok())
}

fn weekday(text: &str) -> Option<(Weekday, NaiveTime)> {
    let (day, time) = text.split_once(char::is_whitespace)?;
    let time = NaiveTime::parse_from_str(time.trim(), "%H:%M").ok()?;
    Some((day.parse().ok()?, time))
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
        // The horizon starts on Monday at six: five o'clock on a Monday is a week later.
        check("monday 05:00", Ok("2026-06-08T05:00:00+01:00"));
    }

    #[test]
    fn what_is_not_a_time_says_what_is() {
        check("soon", Err("\"friday 17:00\" is allowed"));
        check("friday 25:00", Err("is allowed"));
        check("", Err("is allowed"));
    }
}
