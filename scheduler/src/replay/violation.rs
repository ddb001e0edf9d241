//! What a plan is refused for.

use std::fmt;

use chrono::{DateTime, Duration, FixedOffset};
use serde::Serialize;

use super::levels::{Gauge, Seen};
use crate::plan::WorkId;
use crate::scenario::Scenario;
use crate::timeline::Timeline;

/// A rule of the trade that every plan keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// The plan is about this site and horizon, and its items can be read.
    Frame,
    /// One boil at a time in a pot, of a size the pot takes.
    Pot,
    /// Pots that heat at once find the power for it.
    Circuit,
    /// Nothing is heard in quiet hours.
    Quiet,
    /// Nothing is done with what is out of service.
    OutOfService,
    /// Water gets as hot as it should, in the time the burner needs for it.
    Heating,
    /// Ice brings the water to the stated temperature, in the time that takes.
    Chilling,
    /// The dose covers the measured chlorine.
    Dechlorination,
    /// Kegs take no more water than their boils made, while it stands in the pot.
    Water,
    /// Kegs are filled with what they take, and put where their route leads.
    Filling,
    /// Nobody has more to do than there are hands.
    Hands,
    /// There is ice for the bar first and then for soda.
    Ice,
    /// Ordered ice can arrive.
    Delivery,
    /// Kegs fit into their cold store.
    Places,
    /// A cold store carries away the heat of its warm kegs.
    Cooling,
    /// A keg is in one state at a time.
    Kegs,
    /// A keg is washed on a station, for as long as it takes.
    Wash,
    /// A keg is cold when it is gassed.
    Temperature,
    /// A gassing keg has a connection that fits and reaches it.
    Connections,
    /// No keg is brought to a pressure it should not take.
    Pressure,
    /// A keg gets the CO2 its product has, and keeps it.
    Carbonation,
    /// There is CO2 in the cylinders.
    Co2,
    /// A cylinder is changed when it is empty, for a full one.
    Cylinders,
    /// Of materials that limit the plan no more is used than there is.
    Materials,
    /// What is said to stand ready does.
    Reserve,
    /// What is served is on tap.
    Service,
    /// Nothing too old is tapped or poured.
    Freshness,
    /// A keg comes back when it is empty and its service is over.
    Return,
    /// The plan's totals agree with its items.
    Sums,
}

/// One place where a plan breaks a rule.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Violation {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The rule.
    pub rule: Rule,
    /// The work item, where one is to blame.
    pub item: Option<WorkId>,
    /// What was found, and what is allowed.
    pub what: String,
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {:?}", self.at.to_rfc3339(), self.rule)?;
        if let Some(item) = &self.item {
            write!(f, " {item}")?;
        }
        write!(f, ": {}", self.what)
    }
}

/// Collects violations.
pub(super) struct Findings {
    clock: Timeline,
    list: Vec<Violation>,
    /// Levels that were followed, if somebody wants to see them.
    seen: Option<Vec<Seen>>,
}

impl Findings {
    pub(super) fn new(scenario: &Scenario) -> Self {
        Self {
            clock: scenario.horizon.timeline(scenario.site.time_zone),
            list: Vec::new(),
            seen: None,
        }
    }

    /// The same, keeping the levels that are followed.
    pub(super) fn watching(scenario: &Scenario) -> Self {
        Self {
            seen: Some(Vec::new()),
            ..Self::new(scenario)
        }
    }

    /// Keeps a level, minute by minute, if somebody wants to see it.
    pub(super) fn saw(&mut self, gauge: Gauge, limit: f64, minutes: impl Iterator<Item = f64>) {
        let Some(seen) = &mut self.seen else {
            return;
        };
        let steps = self.clock.steps();
        let grid = self.clock.step_minutes() as usize;
        let levels: Vec<f64> = minutes.step_by(grid.max(1)).take(steps).collect();
        seen.push(Seen {
            gauge,
            limits: vec![limit; levels.len()],
            levels,
        });
    }

    /// Keeps a level, step by step, with a limit that changes.
    pub(super) fn saw_steps(&mut self, gauge: Gauge, limits: &[f64], levels: &[f64]) {
        if let Some(seen) = &mut self.seen {
            seen.push(Seen {
                gauge,
                limits: limits.to_vec(),
                levels: levels.to_vec(),
            });
        }
    }

    /// The levels that were followed.
    pub(super) fn seen(self) -> Vec<Seen> {
        self.seen.unwrap_or_default()
    }

    pub(super) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Adds a violation at a minute of the horizon.
    pub(super) fn add(
        &mut self,
        rule: Rule,
        minute: usize,
        item: Option<&WorkId>,
        what: impl Into<String>,
    ) {
        let after = Duration::minutes(i64::try_from(minute).unwrap_or(0));
        self.list.push(Violation {
            at: self.clock.stamp(self.clock.start() + after),
            rule,
            item: item.cloned(),
            what: what.into(),
        });
    }

    /// Adds a violation unless `kept`.
    pub(super) fn require(
        &mut self,
        kept: bool,
        rule: Rule,
        (minute, item): (usize, &WorkId),
        what: impl FnOnce() -> String,
    ) {
        if !kept {
            self.add(rule, minute, Some(item), what());
        }
    }

    /// The value of a calculation; what the physics has no answer for is a violation.
    pub(super) fn known<T>(
        &mut self,
        rule: Rule,
        (minute, item): (usize, &WorkId),
        answer: Result<T, model::Error>,
    ) -> Option<T> {
        match answer {
            Ok(value) => Some(value),
            Err(error) => {
                self.add(rule, minute, Some(item), error.to_string());
                None
            }
        }
    }

    pub(super) fn in_order(mut self) -> Vec<Violation> {
        self.list.sort_by_key(|v| v.at);
        self.list
    }
}
