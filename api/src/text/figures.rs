//! Numbers, times and lines, written the same way everywhere.

use chrono::{DateTime, FixedOffset};

/// Columns a line of prose may fill.
const WIDTH: usize = 96;

/// `Mon 1 June 09:00`.
pub(crate) fn day_and_time(at: DateTime<FixedOffset>) -> String {
    at.format("%a %-d %B %H:%M").to_string()
}

/// `Monday 1 June`.
pub(crate) fn day(at: DateTime<FixedOffset>) -> String {
    at.format("%A %-d %B").to_string()
}

/// `09:00`, or `Tue 2 June 09:00` if that is not the day of `from`.
pub(crate) fn time_after(at: DateTime<FixedOffset>, from: DateTime<FixedOffset>) -> String {
    if at.date_naive() == from.date_naive() {
        at.format("%H:%M").to_string()
    } else {
        day_and_time(at)
    }
}

/// A number with as many digits as a person can measure: three from ten on, two decimals below one.
pub(crate) fn number(value: f64) -> String {
    let decimals = match value.abs() {
        x if x >= 100.0 => 0,
        x if x >= 1.0 => 1,
        _ => 2,
    };
    let text = format!("{value:.decimals$}");
    // No hair below zero is shown as "-0".
    if text.trim_start_matches(['-', '0', '.']).is_empty() {
        return "0".to_owned();
    }
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

/// `1 keg`, `3 kegs`.
pub(crate) fn counted(count: u32, noun: &str) -> String {
    if count == 1 {
        format!("1 {noun}")
    } else {
        format!("{count} {noun}s")
    }
}

/// `45 min`, `24 h`, `2 h 15 min`.
pub(crate) fn duration(minutes: f64) -> String {
    let minutes = minutes.round().max(0.0);
    let hours = (minutes / 60.0).floor();
    let rest = minutes - hours * 60.0;
    if hours < 1.0 || minutes < 120.0 && rest > 0.0 {
        format!("{minutes:.0} min")
    } else if rest < 1.0 {
        format!("{hours:.0} h")
    } else {
        format!("{hours:.0} h {rest:.0} min")
    }
}

/// Prose broken into lines, each indented, with a line break at the end.
pub(crate) fn paragraph(indent: usize, prose: &str) -> String {
    let margin = " ".repeat(indent);
    let mut lines = String::new();
    let mut line = String::new();
    for word in prose.split_whitespace() {
        let longer = line.chars().count() + 1 + word.chars().count();
        if !line.is_empty() && longer > WIDTH - indent {
            lines += &format!("{margin}{line}\n");
            line.clear();
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line += word;
    }
    if !line.is_empty() {
        lines += &format!("{margin}{line}\n");
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_the_digits_a_person_can_measure() {
        for (value, text) in [
            (0.0, "0"),
            (-0.001, "0"),
            (0.317, "0.32"),
            (4.0, "4"),
            (18.46, "18.5"),
            (640.2, "640"),
        ] {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn durations_read_like_a_clock() {
        for (minutes, text) in [
            (45.0, "45 min"),
            (60.0, "1 h"),
            (95.0, "95 min"),
            (135.0, "2 h 15 min"),
            (1440.0, "24 h"),
        ] {
            assert_eq!(duration(minutes), text);
        }
    }

    #[test]
    fn long_prose_breaks_between_words() {
        let text = paragraph(4, &"word ".repeat(40));
        assert!(text.lines().count() > 1);
        assert!(
            text.lines()
                .all(|l| l.len() <= WIDTH && l.starts_with("    word"))
        );
    }
}
