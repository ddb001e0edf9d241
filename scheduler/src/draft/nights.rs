//! Nights: what each drink is wanted of, on each of the days to come.

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveTime, TimeZone, Utc};
use chrono_tz::Tz;

use super::answers::{Answers, NightAnswer};
use super::assumed::Notes;
use super::names;
use crate::scenario::quantities::DemandVolume;
use crate::scenario::{
    Demand, DemandKind, Grid, Horizon, KegType, Policy, Priority, Product, Setup, Weekday,
};

/// Days that are planned.
const DAYS: u8 = 7;

/// A week from six o'clock in the morning of the next day on.
pub(super) fn horizon(answers: &Answers, now: DateTime<Utc>) -> Horizon {
    let zone = answers.place.time_zone;
    let tomorrow = now.with_timezone(&zone).date_naive() + Days::new(1);
    let six = NaiveTime::from_hms_opt(6, 0, 0).unwrap_or_default();
    Horizon {
        start: on_clock(zone, tomorrow, six),
        days: DAYS,
        grid_minutes: Grid::Half,
        until: None,
    }
}

/// What is wanted in the days of the plan: each night's kegs, shared evenly among the drinks.
pub(super) fn demand(
    answers: &Answers,
    horizon: &Horizon,
    setup: &Setup,
    policy: &Policy,
    notes: &mut Notes,
) -> Vec<Demand> {
    let zone = answers.place.time_zone;
    let first = horizon.start.with_timezone(&zone).date_naive();
    let keg = keg_litres(&setup.keg_types, policy);
    let mut lines = Vec::new();
    for day in 0..=u64::from(DAYS) {
        let date = first + Days::new(day);
        let weekday = Weekday::from(date.weekday());
        for night in answers.nights.iter().filter(|n| n.days.contains(&weekday)) {
            let due = on_clock(zone, date, night.opens);
            let end = horizon.start + Days::new(u64::from(DAYS));
            if due >= horizon.start && due < end {
                lines.extend(night_lines(night, (date, due), keg, &setup.products));
            }
        }
    }
    for n in 0..lines.len() {
        notes.usual(
            format!("demand[{n}].litres"),
            "",
            "each night's kegs, shared evenly among the drinks",
        );
    }
    lines
}

/// Litres that a keg, or a crate, of the kind that was told first pours.
fn keg_litres(kegs: &[KegType], policy: &Policy) -> f64 {
    let first = kegs.first();
    let filled = first.map_or(0.0, |keg| {
        keg.fill_l.litres() * f64::from(keg.filled_together())
    });
    filled * (1.0 - policy.serving_loss.ratio())
}

fn night_lines(
    night: &NightAnswer,
    (date, due): (NaiveDate, DateTime<chrono::FixedOffset>),
    keg: f64,
    products: &[Product],
) -> Vec<Demand> {
    let each = night.kegs.kegs() * keg / products.len().max(1) as f64;
    // A tenth of a litre less than whole kegs, so that rounding never asks for one more.
    let each = ((each * 10.0).floor() / 10.0).max(0.1);
    let lines = products.iter().map(|product| Demand {
        id: names::known(&format!(
            "{}-{}-{}",
            date.format("%Y%m%d"),
            night.opens.format("%H%M"),
            product.id
        )),
        product: product.id.clone(),
        due,
        litres: DemandVolume::new(each).unwrap_or(DemandVolume::of(0.1)),
        priority: Priority::USUAL,
        kind: DemandKind::Forecast,
        note: None,
    });
    lines.collect()
}

/// A wall-clock time in a zone; where the clock is set forward over it, as much later.
fn on_clock(zone: Tz, date: NaiveDate, time: NaiveTime) -> DateTime<chrono::FixedOffset> {
    let naive = date.and_time(time);
    let found = zone.from_local_datetime(&naive).earliest();
    let later = || {
        let later = naive + chrono::Duration::hours(1);
        zone.from_local_datetime(&later).earliest()
    };
    found
        .or_else(later)
        .map_or_else(|| naive.and_utc().fixed_offset(), |at| at.fixed_offset())
}
