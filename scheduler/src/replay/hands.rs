//! Hands: in each step the crew has as many minutes as the work in it needs.
//!
//! Work inside a step may be shared and ordered freely; a piece of work longer than a step runs on
//! into the next.

use super::items::{Boil, Gas, Head};
use super::levels::Gauge;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use super::{begun, blanket};
use crate::scenario::{GasMethod, Weekday};

/// Minutes lost in rounding.
const ROUNDING_MIN: f64 = 0.5;

/// The largest part of any step's hands that is needed.
pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) -> f64 {
    let there = by_step(walk);
    let mut needed = Needs::new(walk);
    for boil in &walk.items.boils {
        boil_needs(walk, boil, &mut needed, found);
    }
    for gas in &walk.items.gassings {
        gas_needs(gas, &mut needed, found);
    }
    let crew = &walk.scenario.setup.crew;
    for fill in &walk.items.fills {
        let each = fill.keg.fill_min.unwrap_or(crew.fill_keg_min).minutes();
        let each = each + blanket::minutes(walk);
        needed.add(fill.head.start, each, fill.kegs);
        claimed(&fill.head, each * f64::from(fill.kegs), found);
    }
    for wash in &walk.items.washes {
        let each = walk.scenario.setup.wash.hands_min.minutes();
        needed.add(wash.head.start, each, wash.kegs);
        claimed(&wash.head, each * f64::from(wash.kegs), found);
    }
    if let Some(cylinders) = &walk.scenario.setup.cylinders {
        let each = cylinders.change_min.minutes();
        for change in &walk.items.cylinders {
            needed.add(change.head.start, each, change.cylinders);
            claimed(&change.head, each * f64::from(change.cylinders), found);
        }
    }
    somebody_there(walk, &there, found);
    // What has begun needs its hands, even where there are too few.
    let mut begun = Needs::new(walk);
    for (minute, each, kegs) in begun::hands(walk) {
        needed.add(minute, each, kegs);
        begun.add(minute, each, kegs);
    }
    let there: Vec<f64> = there
        .iter()
        .zip(&begun.steps)
        .map(|(there, begun)| there.max(*begun))
        .collect();
    needed.judge(walk, &there, found)
}

fn boil_needs(walk: &Walk<'_>, boil: &Boil<'_>, needed: &mut Needs, found: &mut Findings) {
    let crew = &walk.scenario.setup.crew;
    let (start, chill) = (crew.start_boil_min.minutes(), crew.chill_min.minutes());
    needed.add(boil.head.start, start, 1);
    needed.add(boil.chill_at, chill, 1);
    claimed(&boil.head, start + chill, found);
}

/// A shaken keg needs hands until it is done; a resting one only to be coupled and turned down.
fn gas_needs(gas: &Gas<'_>, needed: &mut Needs, found: &mut Findings) {
    let shaking = match gas.station.method {
        GasMethod::Shaken { .. } => gas.uptake_min,
        GasMethod::Rest { .. } => 0.0,
    };
    let first = gas.station.couple_min.minutes() + shaking;
    let last = gas.station.uncouple_min.minutes();
    needed.add(gas.head.start, first, gas.kegs);
    needed.add(gas.ready_at, last, gas.kegs);
    claimed(&gas.head, (first + last) * f64::from(gas.kegs), found);
}

/// The minutes an item says it needs are those it needs.
fn claimed(head: &Head<'_>, minutes: f64, found: &mut Findings) {
    let same = (head.hands_min - minutes).abs() <= ROUNDING_MIN + 0.01 * minutes;
    found.require(same, Rule::Hands, head.place(), || {
        format!(
            "{:.1} min of hands stated; it needs {minutes:.1} min",
            head.hands_min
        )
    });
}

/// Kegs are taken back, ice is taken in and cylinders are changed by somebody.
fn somebody_there(walk: &Walk<'_>, there: &[f64], found: &mut Findings) {
    let returns = walk.items.returns.iter().map(|r| &r.head);
    let deliveries = walk.items.deliveries.iter().map(|d| &d.head);
    let changes = walk.items.cylinders.iter().map(|c| &c.head);
    for head in returns.chain(deliveries).chain(changes) {
        let hands = there.get(head.start / walk.grid).copied().unwrap_or(0.0);
        found.require(hands > 0.0, Rule::Hands, head.place(), || {
            format!("nobody is there at {}", walk.time(head.start))
        });
    }
}

/// Minutes of hands in each step, from the shifts and their breaks on the site's clock.
fn by_step(walk: &Walk<'_>) -> Vec<f64> {
    let crew = &walk.scenario.setup.crew;
    let mut hands = vec![0_u32; walk.minutes];
    for day in walk.clock.dates().filter(|day| !crew.closed.contains(day)) {
        let weekday = Weekday::from(chrono::Datelike::weekday(&day));
        for shift in crew.shifts.iter().filter(|s| s.days.contains(&weekday)) {
            let minute = |time| {
                let at = walk.minute(walk.clock.instant(day, time)).max(0);
                usize::try_from(at).map_or(0, |m| m.min(walk.minutes))
            };
            let (from, to) = (minute(shift.from), minute(shift.to));
            for present in hands.get_mut(from..to).into_iter().flatten() {
                *present += u32::from(shift.hands);
            }
            for pause in &shift.breaks {
                let (from, to) = (minute(pause.from), minute(pause.to));
                for present in hands.get_mut(from..to).into_iter().flatten() {
                    *present = present.saturating_sub(u32::from(shift.hands));
                }
            }
        }
    }
    let steps = hands.chunks(walk.grid);
    steps
        .map(|step| step.iter().map(|n| f64::from(*n)).sum())
        .collect()
}

/// Minutes of hands needed in each step.
struct Needs {
    grid: usize,
    steps: Vec<f64>,
}

impl Needs {
    fn new(walk: &Walk<'_>) -> Self {
        Self {
            grid: walk.grid,
            steps: vec![0.0; walk.minutes.div_ceil(walk.grid)],
        }
    }

    /// Some kegs that each need hands for some minutes from a minute on.
    fn add(&mut self, minute: usize, each: f64, kegs: u32) {
        let mut left = each;
        for step in self.steps.iter_mut().skip(minute / self.grid) {
            let now = left.min(self.grid as f64);
            if now <= 0.0 {
                break;
            }
            *step += now * f64::from(kegs);
            left -= now;
        }
    }

    fn judge(&self, walk: &Walk<'_>, there: &[f64], found: &mut Findings) -> f64 {
        let people = |minutes: &[f64]| -> Vec<f64> {
            minutes.iter().map(|m| m / self.grid as f64).collect()
        };
        found.saw_steps(Gauge::Hands, &people(there), &people(&self.steps));
        let mut busiest = 0.0_f64;
        for (step, (needed, there)) in self.steps.iter().zip(there).enumerate() {
            if *there > 0.0 {
                busiest = busiest.max(needed / there);
            }
            if *needed > there + 0.01 {
                let minute = step * walk.grid;
                let text = format!("{needed:.1} min of work; hands for {there:.1} min are there");
                found.add(Rule::Hands, minute, None, text);
            }
        }
        busiest
    }
}
