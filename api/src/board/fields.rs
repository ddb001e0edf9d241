//! The fields of a form that was sent.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpMessage, HttpRequest};
use chrono::{DateTime, FixedOffset, NaiveDateTime, TimeZone, Utc};
use chrono_tz::Tz;
use model::units::Unit;
use scheduler::scenario::{is_instant, nearest_instant, no_instant};
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::error_page::ErrorPage;
use crate::domain::Refusal;
use crate::text::typed::amount;

/// Names and values, in the order they were sent.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Fields(Vec<(String, String)>);

/// How a browser writes a date and time.
pub(super) const LOCAL: &str = "%Y-%m-%dT%H:%M";

impl Fields {
    pub(super) fn parse(bytes: &[u8]) -> Self {
        Self(form_urlencoded::parse(bytes).into_owned().collect())
    }

    /// The first value of a name.
    pub(super) fn get(&self, name: &str) -> Option<&str> {
        let mut found = self.0.iter().filter(|(n, _)| n == name);
        found.next().map(|(_, value)| value.as_str())
    }

    /// All values of a name, such as of boxes that are ticked.
    pub(super) fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        let found = self.0.iter().filter(move |(n, _)| n == name);
        found.map(|(_, value)| value.as_str())
    }

    /// What was written into a field; nothing where it was left blank.
    pub(super) fn text(&self, name: &str) -> Option<&str> {
        self.get(name)
            .map(str::trim)
            .filter(|text| !text.is_empty())
    }

    /// A number; nothing where the field was left blank.
    pub(super) fn number<T: std::str::FromStr>(&self, name: &str) -> Result<Option<T>, Refusal> {
        let Some(text) = self.text(name) else {
            return Ok(None);
        };
        // A drink's CO2 may be typed in volumes, such as "3.7 vol".
        if is_co2(name) && !is_either(text) {
            let found = amount(text, Unit::GPerL, Unit::GPerL);
            let found = found.map_err(|what| Refusal::field(name, what))?;
            let wrong = |_| Refusal::field(name, format!("{text} found; a number is allowed"));
            return found.to_string().parse().map(Some).map_err(wrong);
        }
        if is_either(text) {
            let plain = text.replace(',', "");
            let what = format!(
                "{text} found, which is read in two ways; write {plain}, or {}",
                text.replace(',', ".")
            );
            return Err(Refusal::field(name, what));
        }
        // A decimal comma is a number to those who write it.
        let parsed = text.replace(',', ".").parse();
        let wrong = |_| Refusal::field(name, format!("{text} found; a number is allowed"));
        parsed.map(Some).map_err(wrong)
    }

    /// Names that begin with `prefix` and what follows it, with their values.
    pub(super) fn under<'a>(&'a self, prefix: &'a str) -> impl Iterator<Item = (&'a str, &'a str)> {
        let all = self.0.iter();
        all.filter_map(move |(name, value)| Some((name.strip_prefix(prefix)?, value.as_str())))
    }

    /// A time on a site's clock; nothing where the field was left blank.
    pub(super) fn time(
        &self,
        name: &str,
        zone: Tz,
    ) -> Result<Option<DateTime<FixedOffset>>, Refusal> {
        self.text(name)
            .map(|text| local_time(name, text, zone))
            .transpose()
    }

    /// When something happened, on a site's clock; nothing where it happened now: the field was left
    /// blank, or as it was shown, or says the minute it is. Browsers write no seconds, and what is
    /// told at 17:00:40 did not happen at 17:00:00, before what was told at 17:00:20.
    pub(super) fn moment(
        &self,
        name: &str,
        zone: Tz,
        now: DateTime<Utc>,
    ) -> Result<Option<DateTime<FixedOffset>>, Refusal> {
        let untouched = self.text(name) == self.text(&format!("{name} shown"));
        let told = self.time(name, zone)?;
        let minute = |at: DateTime<Utc>| at.timestamp().div_euclid(60);
        Ok(told.filter(|at| !untouched && minute(at.to_utc()) != minute(now)))
    }
}

/// Whether a field is for the CO2 in a drink.
fn is_co2(name: &str) -> bool {
    name.ends_with("g_per_l") && !name.ends_with("mg_per_l")
}

/// Whether a comma may stand between thousands as well as before a part, as in `1,234`.
fn is_either(text: &str) -> bool {
    let Some((whole, part)) = text.split_once(',') else {
        return false;
    };
    let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    let thousands = (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    thousands && part.len() == 3 && digits(whole) && digits(part)
}

/// A wall-clock time as a browser sends it, on a site's clock.
pub(super) fn local_time(
    field: &str,
    text: &str,
    zone: Tz,
) -> Result<DateTime<FixedOffset>, Refusal> {
    let naive = NaiveDateTime::parse_from_str(text, LOCAL)
        .or_else(|_| NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M:%S"));
    let naive = naive.map_err(|_| {
        let what = format!("{text} found; a date and time is allowed, such as 2026-06-05T17:00");
        Refusal::field(field, what)
    })?;
    on_clock(naive, zone).map_err(|what| Refusal::field(field, what))
}

/// A wall-clock time on a site's clock.
///
/// # Errors
/// The clock is set forward over it, or it is far away.
pub(super) fn on_clock(naive: NaiveDateTime, zone: Tz) -> Result<DateTime<FixedOffset>, String> {
    let text = naive.format(LOCAL);
    // What is far away is not even put on a clock.
    if nearest_instant(naive) != naive {
        return Err(no_instant(text));
    }
    let found = zone.from_local_datetime(&naive).earliest();
    let found = found.map(|at| at.fixed_offset());
    let at = found.ok_or(format!(
        "{text} found; the clock is set forward over this time"
    ))?;
    is_instant(at).then_some(at).ok_or(no_instant(text))
}

/// What a form says, through the same door as JSON.
pub(super) fn through<T: DeserializeOwned>(said: Value) -> Result<T, Refusal> {
    serde_path_to_error::deserialize(said)
        .map_err(|error| Refusal::field(error.path().to_string(), error.into_inner().to_string()))
}

impl FromRequest for Fields {
    type Error = ErrorPage;
    type Future = Ready<Result<Self, ErrorPage>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Ok(request
            .extensions()
            .get::<Self>()
            .cloned()
            .unwrap_or_default()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_read_as_they_were_written() {
        let fields = Fields::parse(b"litres=12%2C5&note=+");
        assert_eq!(fields.number::<f64>("litres").unwrap(), Some(12.5));
        assert_eq!(fields.text("note"), None);
        assert_eq!(fields.number::<f64>("note").unwrap(), None);
        assert!(Fields::parse(b"x=many").number::<u16>("x").is_err());
        // A thousand and some, or one and a part: nobody can tell.
        let either = Fields::parse(b"x=1%2C234").number::<f64>("x").unwrap_err();
        assert!(
            either.to_string().contains("write 1234, or 1.234"),
            "{either}"
        );
        let part = Fields::parse(b"x=0%2C125").number::<f64>("x").unwrap();
        assert_eq!(part, Some(0.125));
    }

    #[test]
    fn co2_is_read_in_volumes_too() {
        let read = |form: &[u8]| Fields::parse(form).number::<f64>("/0/carbonation_g_per_l");
        let volumes = read(b"/0/carbonation_g_per_l=3.7+vol").unwrap().unwrap();
        // 3.7 · 1.9768 g/L.
        assert!((volumes - 7.3142).abs() < 1e-4, "{volumes}");
        assert_eq!(read(b"/0/carbonation_g_per_l=7%2C4").unwrap(), Some(7.4));
        assert!(read(b"/0/carbonation_g_per_l=4+bar").is_err());
        let chlorine = Fields::parse(b"total_chlorine_mg_per_l=3+vol");
        assert!(chlorine.number::<f64>("total_chlorine_mg_per_l").is_err());
    }

    #[test]
    fn a_time_that_was_not_touched_is_now() {
        let zone = chrono_tz::Europe::Lisbon;
        let now = "2026-06-05T16:00:40Z".parse().unwrap();
        let told = |form: &[u8]| Fields::parse(form).moment("at", zone, now).unwrap();
        assert_eq!(told(b"at="), None);
        // As it was shown when the page was opened, half an hour ago.
        let shown = b"at=2026-06-05T16:30&at+shown=2026-06-05T16:30";
        assert_eq!(told(shown), None);
        // This very minute.
        assert_eq!(told(b"at=2026-06-05T17:00&at+shown=2026-06-05T16:30"), None);
        let earlier = told(b"at=2026-06-05T16:45&at+shown=2026-06-05T16:30");
        assert_eq!(earlier.unwrap().to_rfc3339(), "2026-06-05T16:45:00+01:00");
        let bad = Fields::parse(b"at=noon").moment("at", zone, now);
        assert!(bad.is_err());
    }

    #[test]
    fn times_are_those_of_the_sites_clock() {
        let zone = chrono_tz::Europe::Lisbon;
        let found = |text| local_time("by", text, zone).map(|at| at.to_rfc3339());
        assert_eq!(
            found("2026-06-05T17:00").unwrap(),
            "2026-06-05T17:00:00+01:00"
        );
        // Clocks go from 01:00 to 02:00 on that night.
        assert!(found("2026-03-29T01:30").is_err());
        assert!(found("friday").is_err());
        let far = found("+262142-12-31T23:00").unwrap_err().to_string();
        assert!(far.contains("2200"), "{far}");
    }
}
