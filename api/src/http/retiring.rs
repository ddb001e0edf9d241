//! Operations that are to go: `Deprecation` (RFC 9745) and `Sunset` (RFC 8594) on their answers.
//!
//! The contract says which: an operation with `deprecated`, `x-deprecated-since` and `x-sunset`,
//! both dates. In a handler's `#[utoipa::path]` that is
//! `extensions(("x-deprecated-since" = json!("2027-01-01")), ("x-sunset" = json!("2028-01-01")))`
//! beside `#[deprecated]`.

use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue};
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use serde_json::Value;

/// When an operation was deprecated, and when it goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Retiring {
    since: DateTime<Utc>,
    until: DateTime<Utc>,
}

/// Why an operation of the contract is not deprecated as it should be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum BadRetiring {
    #[error("{0} is missing or no date")]
    NoDate(&'static str),
    #[error("it goes on {until}, less than a year after it was deprecated on {since}")]
    TooSoon { since: NaiveDate, until: NaiveDate },
}

impl Retiring {
    /// What an operation of the contract says; none where it is here to stay.
    pub(crate) fn of(operation: &Value) -> Result<Option<Self>, BadRetiring> {
        if operation["deprecated"] != true {
            return Ok(None);
        }
        let date = |name: &'static str| -> Result<NaiveDate, BadRetiring> {
            let text = operation[name].as_str().unwrap_or_default();
            text.parse().map_err(|_| BadRetiring::NoDate(name))
        };
        let (since, until) = (date("x-deprecated-since")?, date("x-sunset")?);
        if until < since + chrono::Months::new(12) {
            return Err(BadRetiring::TooSoon { since, until });
        }
        let midnight = |date: NaiveDate| date.and_time(NaiveTime::MIN).and_utc();
        Ok(Some(Self {
            since: midnight(since),
            until: midnight(until),
        }))
    }

    /// Tells a caller.
    pub(super) fn tell(&self, headers: &mut HeaderMap) {
        let since = format!("@{}", self.since.timestamp());
        let until = self.until.format("%a, %d %b %Y %H:%M:%S GMT").to_string();
        for (name, value) in [("deprecation", since), ("sunset", until)] {
            if let Ok(value) = HeaderValue::from_str(&value) {
                headers.insert(HeaderName::from_static(name), value);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    /// 1688169600 is 2023-07-01T00:00:00Z; RFC 9745 has `@1688169599`, one second before. The form
    /// of the other date is RFC 8594's example: `Sat, 31 Dec 2018 23:59:59 GMT`.
    #[test]
    fn an_operation_that_is_to_go_says_so_in_its_answers() {
        let operation = json!({
            "deprecated": true, "x-deprecated-since": "2023-07-01", "x-sunset": "2024-12-31",
        });
        let retiring = Retiring::of(&operation).unwrap().unwrap();
        let mut headers = HeaderMap::new();
        retiring.tell(&mut headers);
        assert_eq!(headers.get("deprecation").unwrap(), "@1688169600");
        assert_eq!(
            headers.get("sunset").unwrap(),
            "Tue, 31 Dec 2024 00:00:00 GMT"
        );
        assert_eq!(Retiring::of(&json!({})), Ok(None));
    }

    #[test]
    fn nothing_goes_within_a_year_or_at_no_time() {
        let of = |since: &str, until: &str| {
            Retiring::of(&json!({
                "deprecated": true, "x-deprecated-since": since, "x-sunset": until,
            }))
        };
        assert!(of("2027-01-01", "2028-01-01").is_ok());
        assert!(matches!(
            of("2027-01-02", "2028-01-01"),
            Err(BadRetiring::TooSoon { .. })
        ));
        assert_eq!(of("2027-01-01", ""), Err(BadRetiring::NoDate("x-sunset")));
    }
}
