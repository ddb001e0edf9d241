//! When equipment may run: quiet hours and outages, step by step.

use chrono::{DateTime, Datelike, Utc};

use super::Builder;
use crate::network::Resource;
use crate::scenario::{Equipment, Noisy, PotId, Scenario, Weekday};
use crate::timeline::Timeline;

/// A stretch of time.
type Stretch = (DateTime<Utc>, DateTime<Utc>);

/// Steps in which some equipment may not run for all of the step.
pub(super) struct Calendar {
    heating: Vec<bool>,
    washing: Vec<bool>,
    shaking: Vec<bool>,
}

impl Calendar {
    pub(super) fn of(scenario: &Scenario, timeline: &Timeline) -> Self {
        let quiet = |noisy| touched(timeline, &quiet(scenario, timeline, noisy));
        Self {
            heating: quiet(Noisy::Heating),
            washing: quiet(Noisy::Washing),
            shaking: quiet(Noisy::Shaking),
        }
    }

    /// Whether washing may run for `length` steps from `t` on.
    pub(super) fn may_wash(&self, t: usize, length: usize) -> bool {
        !any(&self.washing, t, length)
    }

    /// Whether kegs may be shaken for `length` steps from `t` on.
    pub(super) fn may_shake(&self, t: usize, length: usize) -> bool {
        !any(&self.shaking, t, length)
    }
}

fn any(steps: &[bool], from: usize, length: usize) -> bool {
    steps.iter().skip(from).take(length).any(|barred| *barred)
}

impl Builder<'_> {
    /// Leaves out starts at which a pot would heat in quiet hours or be taken while it is out of
    /// service.
    pub(super) fn keep_running(
        &self,
        starts: &mut Vec<usize>,
        pot: &PotId,
        (heater, taken): (usize, usize),
    ) {
        let equipment = Equipment::Pot { pot: pot.clone() };
        let out = touched(self.timeline, &outages(self.scenario, &equipment));
        starts.retain(|t| !any(&self.calendar.heating, *t, heater) && !any(&out, *t, taken));
    }

    /// How many of `all` are out of service in each step.
    pub(super) fn lost(&self, equipment: &Equipment, all: f64) -> Vec<f64> {
        let mut lost = vec![0.0; self.steps()];
        for outage in &self.scenario.setup.outages {
            if outage.equipment == *equipment {
                let each = outage.lost.map_or(all, f64::from);
                let stretch = (outage.from.to_utc(), outage.until.to_utc());
                for (lost, _) in lost
                    .iter_mut()
                    .zip(touched(self.timeline, &[stretch]))
                    .filter(|(_, touched)| *touched)
                {
                    *lost = (*lost + each).min(all);
                }
            }
        }
        lost
    }
}

/// Takes away from a resource what is lost in each step. What work under way takes goes on: no more
/// is lost than it leaves.
pub(super) fn lose(resource: &mut Resource, lost: &[f64]) {
    let mut left = resource.initial;
    let taken = resource.supply.clone();
    let mut before = 0.0;
    for (t, lost) in lost.iter().chain([&0.0]).enumerate() {
        left += taken.get(&t).copied().unwrap_or(0.0);
        let now = lost.min(left.max(0.0));
        if f64::abs(before - now) > 0.0 {
            resource.supply(t, before - now);
        }
        before = now;
    }
}

/// Whether the ice machine runs in each minute of the plan.
pub(super) fn ice_machine_runs(scenario: &Scenario, timeline: &Timeline) -> Vec<bool> {
    let minutes = (timeline.at(timeline.steps()) - timeline.start()).num_minutes();
    let mut runs = vec![true; usize::try_from(minutes).unwrap_or(0)];
    let mut still = quiet(scenario, timeline, Noisy::IceMachine);
    still.extend(outages(scenario, &Equipment::IceMachine));
    for (from, until) in still {
        let minute = |at: DateTime<Utc>| (at - timeline.start()).num_seconds();
        let first = usize::try_from(minute(from).div_euclid(60)).unwrap_or(0);
        let last = usize::try_from((minute(until) + 59).div_euclid(60)).unwrap_or(0);
        for runs in runs.iter_mut().take(last).skip(first) {
            *runs = false;
        }
    }
    runs
}

fn outages(scenario: &Scenario, equipment: &Equipment) -> Vec<Stretch> {
    let all = scenario.setup.outages.iter();
    all.filter(|o| o.equipment == *equipment)
        .map(|o| (o.from.to_utc(), o.until.to_utc()))
        .collect()
}

/// Every stretch of quiet hours for something, those that began the evening before included.
fn quiet(scenario: &Scenario, timeline: &Timeline, noisy: Noisy) -> Vec<Stretch> {
    let mut stretches = Vec::new();
    let eve = timeline.dates().next().and_then(|day| day.pred_opt());
    for day in eve.into_iter().chain(timeline.dates()) {
        for hours in &scenario.setup.quiet_hours {
            let starts = hours.days.contains(&Weekday::from(day.weekday()));
            if !starts || !hours.silent.contains(&noisy) {
                continue;
            }
            let ends = if hours.to > hours.from {
                Some(day)
            } else {
                day.succ_opt()
            };
            stretches.extend(ends.map(|ends| {
                (
                    timeline.instant(day, hours.from),
                    timeline.instant(ends, hours.to),
                )
            }));
        }
    }
    stretches
}

/// Steps that have a part in any of the stretches.
fn touched(timeline: &Timeline, stretches: &[Stretch]) -> Vec<bool> {
    let step = |t: usize| (timeline.at(t), timeline.at(t + 1));
    (0..timeline.steps())
        .map(|t| {
            let (start, end) = step(t);
            stretches
                .iter()
                .any(|(from, until)| *from < end && *until > start)
        })
        .collect()
}
