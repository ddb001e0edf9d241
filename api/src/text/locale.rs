//! Numbers and dates as people write them where they are; the words stay English.
//!
//! Marks, the order of day and month, and the first day of a week are those of the Unicode CLDR, as
//! Babel 2.18 (Python) reads it, for the languages and regions listed here. A clock has 24 hours
//! everywhere, as on a kitchen's wall.

use chrono::{DateTime, FixedOffset, NaiveDate, Weekday};

/// How numbers and dates are written. Where nobody says which region, a number is 1,234.5, the day
/// stands before the month, and a week begins on Monday.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Locale {
    /// Between whole and part.
    decimal: char,
    /// Between thousands.
    group: &'static str,
    month_first: bool,
    /// The day a week begins with.
    pub(crate) week_from: Weekday,
}

impl Default for Locale {
    fn default() -> Self {
        Self::of("en").unwrap_or(Self::PLAIN)
    }
}

/// A no-break space.
const ROOM: &str = "\u{a0}";

/// Languages that write 1.234,5.
const COMMA_POINT: [&str; 19] = [
    "bs", "ca", "da", "de", "el", "es", "eu", "gl", "hr", "id", "is", "it", "mk", "nl", "pt", "ro",
    "sl", "sr", "tr",
];

/// Languages that write 1 234,5.
const COMMA_ROOM: [&str; 18] = [
    "af", "bg", "cs", "et", "fi", "fr", "hu", "lt", "lv", "nb", "nn", "no", "pl", "ru", "sk", "sq",
    "sv", "uk",
];

/// Languages and regions that differ from their language: the decimal mark, and what groups.
const DIFFERENT: [(&str, &[&str], char, &str); 9] = [
    ("de", &["CH", "LI"], '.', "’"),
    ("it", &["CH"], '.', "’"),
    ("en", &["CH"], '.', "’"),
    (
        "en",
        &[
            "AT", "BE", "DE", "DK", "ES", "ID", "IT", "NL", "PL", "RO", "SI",
        ],
        ',',
        ".",
    ),
    (
        "en",
        &["CZ", "FI", "FR", "HU", "NO", "PT", "SE", "SK", "ZA"],
        ',',
        ROOM,
    ),
    (
        "es",
        &[
            "BR", "BZ", "CU", "DO", "GT", "HN", "MX", "NI", "PA", "PE", "PR", "SV", "US",
        ],
        '.',
        ",",
    ),
    ("es", &["CR"], ',', ROOM),
    ("fr", &["LU"], ',', "."),
    (
        "pt",
        &[
            "AO", "CH", "CV", "GQ", "GW", "LU", "MO", "MZ", "PT", "ST", "TL",
        ],
        ',',
        ROOM,
    ),
];

/// Languages that write the month before the day, wherever.
const MONTH_FIRST: [&str; 6] = ["eu", "hu", "ja", "ko", "lt", "zh"];
/// Regions in which English writes the month before the day.
const ENGLISH_MONTH_FIRST: [&str; 11] = [
    "AS", "BI", "CA", "GU", "MH", "MP", "PH", "PR", "UM", "US", "VI",
];

/// Regions whose weeks begin with Sunday.
const FROM_SUNDAY: [&str; 61] = [
    "AG", "AO", "AS", "BD", "BR", "BS", "BT", "BW", "BZ", "CA", "CO", "CV", "DM", "DO", "ET", "GQ",
    "GT", "GU", "GW", "HK", "HN", "ID", "IL", "IN", "JM", "JP", "KE", "KH", "KR", "LA", "MH", "MM",
    "MO", "MT", "MX", "MZ", "NI", "NP", "PA", "PE", "PH", "PK", "PR", "PT", "PY", "SA", "SG", "ST",
    "SV", "TH", "TL", "TT", "TW", "UM", "US", "VE", "VI", "WS", "YE", "ZA", "ZW",
];
/// Regions whose weeks begin with Saturday.
const FROM_SATURDAY: [&str; 14] = [
    "AF", "BH", "DJ", "DZ", "EG", "IQ", "IR", "JO", "KW", "LY", "OM", "QA", "SD", "SY",
];

impl Locale {
    /// Nothing between thousands: what programs and files read.
    pub(crate) const PLAIN: Self = Self {
        decimal: '.',
        group: "",
        month_first: false,
        week_from: Weekday::Mon,
    };

    /// What is offered to choose, with what it looks like; nothing leaves it to the browser.
    pub(crate) const CHOICES: [(&str, &str); 7] = [
        ("", "as the browser asks"),
        ("en-GB", "1,234.5 · 5 June"),
        ("en-US", "1,234.5 · June 5"),
        ("de-DE", "1.234,5 · 5 June"),
        ("fr-FR", "1 234,5 · 5 June"),
        ("de-CH", "1’234.5 · 5 June"),
        ("hu-HU", "1 234,5 · June 5"),
    ];

    /// The locale of a language tag such as `de`, `en-US` or `fr-CH`; none for a tag that is none.
    pub(crate) fn of(tag: &str) -> Option<Self> {
        let mut parts = tag.trim().split(['-', '_']);
        let language = parts.next()?.to_ascii_lowercase();
        let letters = language.chars().all(|c| c.is_ascii_alphabetic());
        if !letters || !(2..=3).contains(&language.len()) {
            return None;
        }
        let region = parts.find(|part| part.len() == 2).unwrap_or_default();
        let region = region.to_ascii_uppercase();
        let (language, region) = (language.as_str(), region.as_str());
        let (decimal, group) = marks(language, region);
        let english = language == "en" && ENGLISH_MONTH_FIRST.contains(&region);
        let week_from = match region {
            _ if FROM_SUNDAY.contains(&region) => Weekday::Sun,
            _ if FROM_SATURDAY.contains(&region) => Weekday::Sat,
            _ => Weekday::Mon,
        };
        Some(Self {
            decimal,
            group,
            month_first: english || MONTH_FIRST.contains(&language),
            week_from,
        })
    }

    /// The locale a browser asks for first.
    pub(crate) fn accepted(header: &str) -> Option<Self> {
        let weighed = header.split(',').filter_map(|part| {
            let (tag, rest) = part.split_once(';').unwrap_or((part, ""));
            let weight = rest.trim().strip_prefix("q=");
            let weight: f64 = weight.map_or(Some(1.0), |q| q.parse().ok())?;
            Some((weight, Self::of(tag)?))
        });
        let mut best: Option<(f64, Self)> = None;
        for (weight, locale) in weighed {
            if best.is_none_or(|(known, _)| weight > known) {
                best = Some((weight, locale));
            }
        }
        best.map(|(_, locale)| locale)
    }

    /// A plain number such as `-1234.5`, with marks.
    pub(crate) fn written(self, plain: &str) -> String {
        let (sign, digits) = plain.strip_prefix('-').map_or(("", plain), |d| ("-", d));
        let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
        let mut text = sign.to_owned();
        for (n, digit) in whole.chars().enumerate() {
            if n > 0 && (whole.len() - n).is_multiple_of(3) {
                text.push_str(self.group);
            }
            text.push(digit);
        }
        if !part.is_empty() {
            text.push(self.decimal);
            text.push_str(part);
        }
        text
    }

    /// A plain number as it stands in a field: nothing between thousands.
    pub(crate) fn typed(self, plain: &str) -> String {
        plain.replace('.', &self.decimal.to_string())
    }

    /// `Mon 1 June 09:00`, `Mon June 1 09:00`.
    pub(crate) fn day_and_time(self, at: DateTime<FixedOffset>) -> String {
        at.format(self.either("%a %-d %B %H:%M", "%a %B %-d %H:%M"))
            .to_string()
    }

    /// `Monday 1 June`.
    pub(crate) fn day(self, date: NaiveDate) -> String {
        date.format(self.either("%A %-d %B", "%A %B %-d"))
            .to_string()
    }

    /// `Monday 1 June 2026`.
    pub(crate) fn day_of_year(self, date: NaiveDate) -> String {
        date.format(self.either("%A %-d %B %Y", "%A %B %-d, %Y"))
            .to_string()
    }

    /// `Mon 1 Jun`.
    pub(crate) fn short_day(self, date: NaiveDate) -> String {
        date.format(self.either("%a %-d %b", "%a %b %-d"))
            .to_string()
    }

    fn either(self, day_first: &'static str, month_first: &'static str) -> &'static str {
        if self.month_first {
            month_first
        } else {
            day_first
        }
    }
}

fn marks(language: &str, region: &str) -> (char, &'static str) {
    let mut different = DIFFERENT.iter();
    let found = different.find(|(of, regions, _, _)| *of == language && regions.contains(&region));
    match found {
        Some((_, _, decimal, group)) => (*decimal, group),
        None if COMMA_POINT.contains(&language) => (',', "."),
        None if COMMA_ROOM.contains(&language) => (',', ROOM),
        None => ('.', ","),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(tag: &str) -> Locale {
        Locale::of(tag).unwrap()
    }

    #[test]
    fn numbers_have_the_marks_of_their_place() {
        // Symbols of the Unicode CLDR, as Babel 2.18 writes 1234567.5 and 950.25 with them.
        for (tag, large, small) in [
            ("en", "1,234,567.5", "950.25"),
            ("de-DE", "1.234.567,5", "950,25"),
            ("de-CH", "1’234’567.5", "950.25"),
            ("pt-PT", "1\u{a0}234\u{a0}567,5", "950,25"),
            ("pt-BR", "1.234.567,5", "950,25"),
            ("es-MX", "1,234,567.5", "950.25"),
            ("sv", "1\u{a0}234\u{a0}567,5", "950,25"),
        ] {
            assert_eq!(of(tag).written("1234567.5"), large, "{tag}");
            assert_eq!(of(tag).written("950.25"), small, "{tag}");
        }
        assert_eq!(of("de").written("-1234"), "-1.234");
        assert_eq!(of("de").typed("1234.5"), "1234,5");
    }

    #[test]
    fn dates_and_weeks_follow_the_region() {
        let june = NaiveDate::from_ymd_opt(2026, 6, 1).unwrap();
        assert_eq!(of("en-US").day(june), "Monday June 1");
        assert_eq!(of("en-GB").day(june), "Monday 1 June");
        assert_eq!(of("de").day_of_year(june), "Monday 1 June 2026");
        for (tag, day) in [
            ("en-US", Weekday::Sun),
            ("pt-PT", Weekday::Sun),
            ("en-GB", Weekday::Mon),
            ("ar-EG", Weekday::Sat),
        ] {
            assert_eq!(of(tag).week_from, day, "{tag}");
        }
    }

    #[test]
    fn what_a_browser_asks_for_first_is_taken() {
        let accepted = |header| Locale::accepted(header);
        assert_eq!(accepted("de-CH,de;q=0.9,en;q=0.8"), Locale::of("de-CH"));
        assert_eq!(accepted("en;q=0.3, fr;q=0.7"), Locale::of("fr"));
        assert_eq!(accepted("*"), None);
        assert_eq!(accepted(""), None);
    }
}
