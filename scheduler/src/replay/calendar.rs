//! Quiet hours and equipment out of service: nothing runs when it may not.

use chrono::Datelike;

use super::items::Head;
use super::level::Level;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::{Equipment, GasMethod, Noisy, Outage, QuietHours, Weekday};

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    let heating = quiet_minutes(walk, Noisy::Heating);
    for boil in &walk.items.boils {
        let minutes = boil.heating_min + boil.hold_min;
        keeps_quiet(
            walk,
            &boil.head,
            &Noise {
                minutes,
                what: "heated",
                quiet: &heating,
            },
            found,
        );
        in_service(walk, &boil.head, &boil.pot.id, found);
    }
    let washing = quiet_minutes(walk, Noisy::Washing);
    for wash in &walk.items.washes {
        let minutes = walk.scenario.setup.wash.minutes.minutes();
        keeps_quiet(
            walk,
            &wash.head,
            &Noise {
                minutes,
                what: "washed",
                quiet: &washing,
            },
            found,
        );
    }
    let shaking = quiet_minutes(walk, Noisy::Shaking);
    for gas in &walk.items.gassings {
        if let GasMethod::Shaken { .. } = gas.station.method {
            let minutes = gas.station.couple_min.minutes() + gas.uptake_min;
            keeps_quiet(
                walk,
                &gas.head,
                &Noise {
                    minutes,
                    what: "shaken",
                    quiet: &shaking,
                },
                found,
            );
        }
    }
}

/// Minutes of the horizon in which something may not run.
fn quiet_minutes(walk: &Walk<'_>, noisy: Noisy) -> Vec<bool> {
    let mut quiet = vec![false; walk.minutes];
    let hours = walk.scenario.setup.quiet_hours.iter();
    for hours in hours.filter(|h| h.silent.contains(&noisy)) {
        mark(walk, hours, &mut quiet);
    }
    quiet
}

fn mark(walk: &Walk<'_>, hours: &QuietHours, quiet: &mut [bool]) {
    let first = walk.clock.dates().next();
    // The night before the horizon may still last into it.
    let nights = first.and_then(|d| d.pred_opt()).into_iter();
    for day in nights.chain(walk.clock.dates()) {
        if !hours.days.contains(&Weekday::from(day.weekday())) {
            continue;
        }
        let morning = if hours.to <= hours.from {
            day.succ_opt()
        } else {
            Some(day)
        };
        let from = walk.minute(walk.clock.instant(day, hours.from));
        let to = morning.map(|d| walk.minute_after(walk.clock.instant(d, hours.to)));
        for minute in from.max(0)..to.unwrap_or(0) {
            let at = usize::try_from(minute).ok();
            if let Some(quiet) = at.and_then(|m| quiet.get_mut(m)) {
                *quiet = true;
            }
        }
    }
}

/// What is heard of a piece of work.
struct Noise<'a> {
    /// For how long, from its start.
    minutes: f64,
    what: &'a str,
    /// The minutes in which it may not be.
    quiet: &'a [bool],
}

fn keeps_quiet(walk: &Walk<'_>, head: &Head<'_>, noise: &Noise<'_>, found: &mut Findings) {
    let Noise {
        minutes,
        what,
        quiet,
    } = noise;
    let until = head.start + (minutes - 0.1).ceil().max(0.0) as usize;
    let loud = (head.start..until.min(quiet.len())).find(|m| quiet[*m]);
    found.require(loud.is_none(), Rule::Quiet, head.place(), || {
        let at = walk.time(loud.unwrap_or(head.start));
        format!("{what} at {at}, in quiet hours")
    });
}

fn of<'a>(walk: &'a Walk<'_>, equipment: &'a Equipment) -> impl Iterator<Item = &'a Outage> {
    let outages = walk.scenario.setup.outages.iter();
    outages.filter(move |o| o.equipment == *equipment)
}

/// First minute of an outage, and the first after it, within the horizon.
fn stretch(walk: &Walk<'_>, outage: &Outage) -> (usize, usize) {
    let within = |m: i64| usize::try_from(m).map_or(0, |m| m.min(walk.minutes));
    (
        within(walk.minute(outage.from.to_utc())),
        within(walk.minute_after(outage.until.to_utc())),
    )
}

/// A pot is whole from the start of a boil until it is empty.
fn in_service(
    walk: &Walk<'_>,
    head: &Head<'_>,
    pot: &crate::scenario::PotId,
    found: &mut Findings,
) {
    let equipment = Equipment::Pot { pot: pot.clone() };
    for outage in of(walk, &equipment) {
        let (from, until) = stretch(walk, outage);
        let free = head.end <= from || head.start >= until;
        found.require(free, Rule::OutOfService, head.place(), || {
            let (from, until) = (walk.time(from), walk.time(until));
            format!("{pot} is out of service from {from} to {until}")
        });
    }
}

/// How many of `all` are out of service in each minute.
pub(super) fn lost(walk: &Walk<'_>, equipment: &Equipment, all: f64) -> Vec<f64> {
    let mut lost = vec![0.0_f64; walk.minutes + 1];
    for outage in of(walk, equipment) {
        let (from, until) = stretch(walk, outage);
        for minute in &mut lost[from..until] {
            *minute = (*minute + outage.lost.map_or(all, f64::from)).min(all);
        }
    }
    lost
}

/// The same, beside what work that has begun takes of them: that goes on.
pub(super) fn lost_beside(
    walk: &Walk<'_>,
    equipment: &Equipment,
    all: f64,
    begun: &Level<'_>,
) -> Vec<f64> {
    let lost = lost(walk, equipment, all).into_iter();
    lost.zip(begun.levels())
        .map(|(lost, taken)| lost.min((all - taken).max(0.0)))
        .collect()
}

/// Minutes in which the ice machine stands still.
pub(super) fn ice_machine_stands(walk: &Walk<'_>) -> Vec<bool> {
    let mut still = quiet_minutes(walk, Noisy::IceMachine);
    for (still, lost) in still
        .iter_mut()
        .zip(lost(walk, &Equipment::IceMachine, 1.0))
    {
        *still |= lost > 0.0;
    }
    still
}
