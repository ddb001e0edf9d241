//! What limits a plan or a capacity: what one more of it would bring, and when it binds.

use scheduler::plan::{BindingStretch, Reason};

use super::figures::paragraph;
use super::units::Units;

/// How many stretches are told one by one.
const TOLD: usize = 3;

/// Litres below this are a rounding error.
const NOTHING_L: f64 = 0.05;

/// One thing that limits, as a paragraph.
pub(super) fn limit(reason: &Reason) -> String {
    let units = Units::default();
    let mut told = format!(
        "limited by {}: {} would bring {}",
        reason.resource,
        reason.one_more,
        brings(reason, units)
    );
    if let Some(when) = when(&reason.binds, units) {
        told += &format!("; it binds {when}");
    }
    paragraph(6, &told)
}

/// What one more would bring, and how much of it to the line that is short.
pub(crate) fn brings(reason: &Reason, units: Units) -> String {
    let amount = |amount: f64| match reason.unit.as_str() {
        "L" => units.litres(amount).to_string(),
        unit => format!("{} {unit}", units.number(amount)),
    };
    let all = amount(reason.brings);
    match reason.here_l {
        Some(here) if here < NOTHING_L => format!("{all} to others"),
        Some(here) if here < reason.brings - NOTHING_L => {
            format!("{all}, {} of it here", amount(here))
        }
        _ => all,
    }
}

/// When a resource binds; none where that is not known.
pub(crate) fn when(binds: &[BindingStretch], units: Units) -> Option<String> {
    let told = binds.iter().take(TOLD).map(|stretch| {
        let until = units.time_after(stretch.until, stretch.from);
        format!("{} to {until}", units.day_and_time(stretch.from))
    });
    let mut told: Vec<String> = told.collect();
    match binds.len().saturating_sub(TOLD) {
        0 => {}
        1 => told.push("once more".to_owned()),
        more => told.push(format!("{more} times more")),
    }
    let last = told.pop()?;
    Some(match told.is_empty() {
        true => last,
        false => format!("{} and {last}", told.join(", ")),
    })
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, Duration};

    use super::*;

    fn reason(stretches: i64) -> Reason {
        let monday = DateTime::parse_from_rfc3339("2026-06-01T09:00:00+01:00").unwrap();
        let stretch = |day: i64| BindingStretch {
            from: monday + Duration::days(day),
            until: monday + Duration::days(day) + Duration::hours(2 + 23 * (day % 2)),
        };
        Reason {
            resource: "ice".to_owned(),
            one_more: "10 kg more ice by Mon 1 June 09:00".to_owned(),
            brings: 6.0,
            unit: "L".to_owned(),
            here_l: None,
            binds: (0..stretches).map(stretch).collect(),
        }
    }

    #[test]
    fn it_is_told_how_much_goes_where() {
        let here = |here: f64| {
            let reason = Reason {
                here_l: Some(here),
                ..reason(0)
            };
            brings(&reason, Units::default())
        };
        assert_eq!(here(6.0), "6 L");
        assert_eq!(here(4.2), "6 L, 4.2 L of it here");
        assert_eq!(here(0.0), "6 L to others");
        let kegs = Reason {
            unit: "kegs".to_owned(),
            ..reason(0)
        };
        assert_eq!(brings(&kegs, Units::default()), "6 kegs");
    }

    #[test]
    fn it_is_told_when_it_binds() {
        let told = |n: i64| when(&reason(n).binds, Units::default());
        assert_eq!(told(0), None);
        assert_eq!(told(1).unwrap(), "Mon 1 June 09:00 to 11:00");
        let two = "Mon 1 June 09:00 to 11:00 and Tue 2 June 09:00 to Wed 3 June 10:00";
        assert_eq!(told(2).unwrap(), two);
        assert!(
            told(4)
                .unwrap()
                .ends_with("Wed 3 June 09:00 to 11:00 and once more")
        );
        assert!(told(6).unwrap().ends_with(" and 3 times more"));
    }
}
