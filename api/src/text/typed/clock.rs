//! Times of day and days of the week as they are typed.

use chrono::NaiveTime;
use scheduler::scenario::Weekday;

const HOURS: [&str; 12] = [
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
];

const DAYS: [(Weekday, &str); 7] = [
    (Weekday::Mon, "monday"),
    (Weekday::Tue, "tuesday"),
    (Weekday::Wed, "wednesday"),
    (Weekday::Thu, "thursday"),
    (Weekday::Fri, "friday"),
    (Weekday::Sat, "saturday"),
    (Weekday::Sun, "sunday"),
];

/// A time of day: `17:00`, `17`, `5pm`, `5.30 pm`, `half past five pm`, `noon`. Words without morning
/// or evening are of the afternoon or evening: that is when bars say them.
///
/// # Errors
/// What was found and what is allowed.
pub(crate) fn time_of_day(text: &str) -> Result<NaiveTime, String> {
    let told = text.trim().to_lowercase();
    let found = match told.as_str() {
        "noon" | "midday" => NaiveTime::from_hms_opt(12, 0, 0),
        "midnight" => Some(NaiveTime::MIN),
        _ => clock(&told),
    };
    found.ok_or_else(|| {
        format!(
            "{} found; a time such as 17:00, 5pm or half past five is allowed",
            text.trim()
        )
    })
}

fn clock(told: &str) -> Option<NaiveTime> {
    let (told, half_of_day) = halves(told);
    let told = told.trim_end_matches("o'clock").trim();
    let (hour, minute, in_words) = in_words(told).or_else(|| in_digits(told))?;
    let hour = match half_of_day {
        Some(_) if !(1..=12).contains(&hour) => return None,
        Some(true) => hour % 12 + 12,
        Some(false) => hour % 12,
        None if in_words && hour < 12 => hour + 12,
        None => hour,
    };
    NaiveTime::from_hms_opt(hour, minute, 0)
}

/// The time without `am` or `pm`, and whether it is after noon where that is said.
fn halves(told: &str) -> (&str, Option<bool>) {
    let ends = [
        ("in the morning", false),
        ("in the afternoon", true),
        ("in the evening", true),
        ("a.m.", false),
        ("p.m.", true),
        ("am", false),
        ("pm", true),
    ];
    for (end, after) in ends {
        if let Some(rest) = told.strip_suffix(end) {
            return (rest.trim(), Some(after));
        }
    }
    (told, None)
}

fn in_words(told: &str) -> Option<(u32, u32, bool)> {
    let hour = |word: &str| {
        let known = HOURS.iter().position(|hour| *hour == word.trim());
        let known = known.and_then(|n| u32::try_from(n + 1).ok());
        known.or_else(|| word.trim().parse().ok().filter(|n| (1..=12).contains(n)))
    };
    if let Some(of) = told.strip_prefix("half past") {
        return Some((hour(of)?, 30, true));
    }
    if let Some(of) = told.strip_prefix("quarter past") {
        return Some((hour(of)?, 15, true));
    }
    if let Some(of) = told.strip_prefix("quarter to") {
        let of = hour(of)?;
        return Some((if of == 1 { 12 } else { of - 1 }, 45, true));
    }
    let known = HOURS.contains(&told);
    known.then(|| Some((hour(told)?, 0, true)))?
}

fn in_digits(told: &str) -> Option<(u32, u32, bool)> {
    let (hour, minute) = match told.split_once([':', '.', 'h']) {
        Some((hour, "")) => (hour, "00"),
        // Browsers may send seconds.
        Some((hour, rest)) => (hour, rest.strip_suffix(":00").unwrap_or(rest)),
        None => (told, "00"),
    };
    let number = |text: &str| {
        let short = (1..=2).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
        short.then(|| text.parse::<u32>().ok())?
    };
    let minute = (minute.len() == 2).then(|| number(minute))?;
    Some((number(hour)?, minute?, false))
}

/// A day of the week and a time of day: `friday 5pm`, `fri at 17:00`.
///
/// # Errors
/// What was found and what is allowed.
pub(crate) fn day_and_time(text: &str) -> Result<(Weekday, NaiveTime), String> {
    let told = text.trim().to_lowercase();
    let (word, rest) = told.split_once(char::is_whitespace).unwrap_or((&told, ""));
    let Some(n) = day(word) else {
        return Err(format!(
            "{word} found; a day and a time such as friday 5pm is allowed"
        ));
    };
    let rest = rest.trim_start();
    let time = time_of_day(rest.strip_prefix("at ").unwrap_or(rest))?;
    Ok((DAYS[n].0, time))
}

/// Days of the week: `fri`, `thu-sat`, `friday and saturday`, `every day`, `weekdays`.
///
/// # Errors
/// What was found and what is allowed.
pub(crate) fn days(text: &str) -> Result<Vec<Weekday>, String> {
    let told = text.to_lowercase();
    let all = || DAYS.iter().map(|(day, _)| *day);
    match told.trim() {
        "every day" | "daily" | "all" => return Ok(all().collect()),
        "weekdays" => return Ok(all().take(5).collect()),
        _ => {}
    }
    let told = told
        .replace(" and ", " ")
        .replace(" to ", "-")
        .replace('–', "-");
    let told = told.replace(" - ", "-");
    let mut found = [false; 7];
    for word in told
        .split([',', ';', ' ', '/'])
        .filter(|word| !word.is_empty())
    {
        let (from, to) = word.split_once('-').unwrap_or((word, word));
        let (Some(from), Some(to)) = (day(from), day(to)) else {
            return Err(format!(
                "{word} found; days such as fri, thu-sat or every day are allowed"
            ));
        };
        let mut n = from;
        found[n] = true;
        while n != to {
            n = (n + 1) % 7;
            found[n] = true;
        }
    }
    Ok(all()
        .zip(found)
        .filter(|(_, is)| *is)
        .map(|(day, _)| day)
        .collect())
}

/// A day by its name, or by as much of it as tells it apart.
fn day(word: &str) -> Option<usize> {
    let word = word.trim().trim_end_matches('.');
    let long = word.len() >= 2;
    let singular = word
        .strip_suffix('s')
        .filter(|_| word.len() > 5)
        .unwrap_or(word);
    DAYS.iter()
        .position(|(_, name)| long && name.starts_with(singular))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_people_say_them() {
        let at = |text: &str| time_of_day(text).unwrap().format("%H:%M").to_string();
        for (text, expected) in [
            ("17:00", "17:00"),
            ("17:00:00", "17:00"),
            ("9", "09:00"),
            ("17h30", "17:30"),
            ("5pm", "17:00"),
            ("5.30 p.m.", "17:30"),
            ("12 am", "00:00"),
            ("12pm", "12:00"),
            ("half past five", "17:30"),
            ("half past 5 am", "05:30"),
            ("quarter to six", "17:45"),
            ("quarter past nine in the morning", "09:15"),
            ("six o'clock", "18:00"),
            ("noon", "12:00"),
            ("midnight", "00:00"),
        ] {
            assert_eq!(at(text), expected, "{text}");
        }
        for bad in ["", "soon", "25:00", "17:5", "13 pm", "half five", "5:75"] {
            assert!(time_of_day(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_day_and_a_time_are_read_together() {
        let five = NaiveTime::from_hms_opt(17, 0, 0).unwrap();
        for text in [
            "friday 5pm",
            "Fri at 17:00",
            " fri  five o'clock",
            "fridays at 5 pm",
        ] {
            assert_eq!(day_and_time(text), Ok((Weekday::Fri, five)), "{text}");
        }
        for (bad, part) in [
            ("someday 5pm", "someday found"),
            ("friday", "a time such as 17:00"),
            ("friday 25:00", "25:00 found"),
            ("", "friday 5pm is allowed"),
        ] {
            let told = day_and_time(bad).unwrap_err();
            assert!(told.contains(part), "{bad}: {told}");
        }
    }

    #[test]
    fn days_are_read_as_people_say_them() {
        use Weekday::{Fri, Mon, Sat, Sun, Thu, Tue, Wed};
        for (text, expected) in [
            ("fri", vec![Fri]),
            ("Thu-Sat", vec![Thu, Fri, Sat]),
            ("thursday to saturday", vec![Thu, Fri, Sat]),
            ("fridays and saturdays", vec![Fri, Sat]),
            ("sat-mon", vec![Mon, Sat, Sun]),
            ("tue, wed", vec![Tue, Wed]),
            ("weekdays", vec![Mon, Tue, Wed, Thu, Fri]),
        ] {
            assert_eq!(days(text).unwrap(), expected, "{text}");
        }
        assert_eq!(days("every day").unwrap().len(), 7);
        assert!(days("someday").unwrap_err().contains("thu-sat"));
    }
}
