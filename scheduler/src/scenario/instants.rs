//! Which instants there are for this program, declared once.
//!
//! Clocks, databases and other programs disagree about years far away, and arithmetic with them
//! overflows. Nothing a soda program does lies outside two centuries. Every field that takes an
//! instant or a date is read by one of these functions.

use std::fmt::Display;

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime};
use serde::de::{Deserialize, Deserializer, Error};

/// The first date there is.
pub const FIRST_DATE: NaiveDate = NaiveDate::from_ymd_opt(2000, 1, 1).unwrap();

/// The last date there is; of its instants only the first, in UTC.
pub const LAST_DATE: NaiveDate = NaiveDate::from_ymd_opt(2200, 1, 1).unwrap();

/// What is allowed, in words.
pub const INSTANTS: &str = "2000-01-01T00:00:00Z to 2200-01-01T00:00:00Z";

const DATES: &str = "2000-01-01 to 2200-01-01";

/// The first and the last instant, in UTC.
fn range() -> [NaiveDateTime; 2] {
    [FIRST_DATE, LAST_DATE].map(|date| date.and_time(chrono::NaiveTime::MIN))
}

/// Whether an instant is one of those there are.
///
/// ```
/// use scheduler::scenario::is_instant;
/// assert!(is_instant("2026-06-01T06:00:00+01:00".parse().unwrap()));
/// assert!(!is_instant("1999-12-31T23:59:59Z".parse().unwrap()));
/// assert!(!is_instant("2200-01-01T00:00:01Z".parse().unwrap()));
/// ```
#[must_use]
pub fn is_instant(at: DateTime<FixedOffset>) -> bool {
    let [first, last] = range();
    (first..=last).contains(&at.naive_utc())
}

/// The nearest instant there is, in UTC.
///
/// ```
/// use scheduler::scenario::nearest_instant;
/// let far = chrono::NaiveDateTime::MAX;
/// assert_eq!(nearest_instant(far).to_string(), "2200-01-01 00:00:00");
/// ```
#[must_use]
pub fn nearest_instant(at: NaiveDateTime) -> NaiveDateTime {
    let [first, last] = range();
    at.clamp(first, last)
}

/// What is wrong with an instant that is none of those there are.
#[must_use]
pub fn no_instant(found: impl Display) -> String {
    format!("{found} is outside what an instant may be: {INSTANTS}")
}

fn checked<E: Error>(at: DateTime<FixedOffset>) -> Result<DateTime<FixedOffset>, E> {
    if is_instant(at) {
        Ok(at)
    } else {
        // As it would be written, without the arithmetic a local time takes.
        Err(E::custom(no_instant(at.naive_utc().and_utc().to_rfc3339())))
    }
}

fn checked_date<E: Error>(date: NaiveDate) -> Result<NaiveDate, E> {
    if (FIRST_DATE..=LAST_DATE).contains(&date) {
        Ok(date)
    } else {
        let what = format!("{date} is outside what a date may be: {DATES}");
        Err(E::custom(what))
    }
}

/// Reads an instant.
///
/// # Errors
/// It is none, or none of those there are.
pub fn instant<'de, D: Deserializer<'de>>(source: D) -> Result<DateTime<FixedOffset>, D::Error> {
    checked(DateTime::deserialize(source)?)
}

/// Reads an instant that may be left out.
///
/// # Errors
/// It is none, or none of those there are.
pub fn instant_if_any<'de, D: Deserializer<'de>>(
    source: D,
) -> Result<Option<DateTime<FixedOffset>>, D::Error> {
    let found: Option<DateTime<FixedOffset>> = Option::deserialize(source)?;
    found.map(checked).transpose()
}

/// Reads a date that may be left out.
///
/// # Errors
/// It is none, or none of those there are.
pub fn date_if_any<'de, D: Deserializer<'de>>(source: D) -> Result<Option<NaiveDate>, D::Error> {
    let found: Option<NaiveDate> = Option::deserialize(source)?;
    found.map(checked_date).transpose()
}

/// Reads dates.
///
/// # Errors
/// One is none, or none of those there are.
pub fn dates<'de, D: Deserializer<'de>>(source: D) -> Result<Vec<NaiveDate>, D::Error> {
    let found: Vec<NaiveDate> = Vec::deserialize(source)?;
    found.into_iter().map(checked_date).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn both_ends_are_instants_and_what_lies_beyond_is_not() {
        let check = |text: &str, good: bool| {
            let read = instant(json!(text));
            assert_eq!(read.is_ok(), good, "{text}: {read:?}");
        };
        check("2000-01-01T00:00:00Z", true);
        check("2200-01-01T00:00:00Z", true);
        check("2200-01-01T01:00:00+01:00", true);
        check("1999-12-31T23:59:59Z", false);
        check("2000-01-01T00:30:00+01:00", false);
        check("2200-01-01T00:00:01Z", false);
        check("-262143-01-01T00:00:00Z", false);
        check("+262142-12-31T23:59:59-23:00", false);
        check("9999-12-31T23:59:59Z", false);
    }

    #[test]
    fn what_may_be_left_out_is_left_out() {
        assert_eq!(instant_if_any(json!(null)).unwrap(), None);
        assert!(instant_if_any(json!("1970-01-01T00:00:00Z")).is_err());
        assert!(date_if_any(json!("+262142-12-31")).is_err());
        assert!(dates(json!(["2026-12-25", "1999-12-25"])).is_err());
        assert_eq!(dates(json!(["2026-12-25"])).unwrap().len(), 1);
    }
}
