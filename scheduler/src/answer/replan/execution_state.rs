//! What became of each work item of a published plan.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, FixedOffset};

use super::facts::{Event, Facts};
use crate::answer::NoAnswer;
use crate::plan::{BoilStep, FillStep, GasStep, Plan, Step, TapStep, WorkId, WorkItem};
use crate::scenario::UnderWay;
use crate::timeline::Timeline;

/// What became of a work item.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Fate {
    /// It has begun, so much later than published, in whole steps.
    Begun(Duration),
    /// It is over, since an instant.
    Over(DateTime<FixedOffset>),
    /// It failed at an instant.
    Failed(DateTime<FixedOffset>),
    /// It is still to come, so much later than published, in whole steps.
    Ahead(Duration),
    /// It was not done, and nothing is left of it: what it rests on is gone.
    Gone,
}

/// The work of a published plan and what became of it.
pub(super) struct Past<'a> {
    pub plan: &'a Plan,
    /// The first instant of the new plan.
    pub from: DateTime<FixedOffset>,
    fates: BTreeMap<&'a WorkId, Fate>,
}

impl<'a> Past<'a> {
    /// Reads the facts.
    ///
    /// # Errors
    /// [`NoAnswer::BadQuestion`] if they name work that is not in the plan, or a time that is not
    /// between the plan's start and now.
    pub(super) fn of(
        plan: &'a Plan,
        begun: &UnderWay,
        facts: &Facts,
        timeline: &Timeline,
    ) -> Result<Self, NoAnswer> {
        let from = first_instant(facts, timeline)?;
        check(plan, begun, facts)?;
        let mut past = Self {
            plan,
            from,
            fates: BTreeMap::new(),
        };
        // Work is listed in order of time, so what an item rests on comes before it.
        for item in &plan.work {
            let fate = past.fate_of(item, facts, timeline);
            past.fates.insert(&item.id, fate);
        }
        Ok(past)
    }

    pub(super) fn fate(&self, id: &WorkId) -> Option<&Fate> {
        self.fates.get(id)
    }

    /// Work that is still to come, and how much later than published.
    pub(super) fn ahead(&self) -> impl Iterator<Item = (&'a WorkItem, Duration)> {
        self.plan
            .work
            .iter()
            .filter_map(|item| match self.fate(&item.id) {
                Some(Fate::Ahead(late)) => Some((item, *late)),
                _ => None,
            })
    }

    fn fate_of(&self, item: &WorkItem, facts: &Facts, timeline: &Timeline) -> Fate {
        let told = facts.events.iter().filter(|event| *event.item() == item.id);
        let mut late = Duration::zero();
        let mut begun = false;
        for event in told {
            match event {
                Event::Failed { at, .. } => return Fate::Failed(*at),
                Event::Skipped { .. } => return Fate::Gone,
                Event::Finished { at, .. } => return Fate::Over(*at),
                Event::Started { at, .. } => {
                    begun = true;
                    late = late.max(in_steps(*at - item.start, timeline));
                }
                Event::Late { minutes, .. } => {
                    let minutes = Duration::minutes(i64::from(*minutes));
                    late = late.max(in_steps(minutes, timeline));
                }
            }
        }
        if begun {
            return Fate::Begun(late);
        }
        let (rests, wait) = self.rests_on(item);
        if !rests {
            return Fate::Gone;
        }
        let late = late.max(wait);
        if item.start + late < self.from {
            Fate::Begun(late)
        } else if item.start + late == item.start {
            Fate::Ahead(Duration::zero())
        } else {
            Fate::Ahead(late)
        }
    }

    /// Whether what an item rests on is there, and how much later it comes.
    fn rests_on(&self, item: &WorkItem) -> (bool, Duration) {
        let mut wait = Duration::zero();
        let mut there = true;
        let mut look = |id: &WorkId, ready: &dyn Fn(&WorkItem) -> DateTime<FixedOffset>| {
            let Some(source) = self.plan.work.iter().find(|other| other.id == *id) else {
                return;
            };
            match self.fate(id) {
                Some(Fate::Begun(late) | Fate::Ahead(late)) => {
                    wait = wait.max(ready(source) + *late - item.start);
                }
                // Water that was poured away before its time cannot be filled any more.
                Some(Fate::Over(at)) if matches!(source.step, Step::Boil(_)) => {
                    there &= item.start < *at;
                }
                Some(Fate::Failed(at)) => there &= item.start < *at && item.start < self.from,
                Some(Fate::Gone) => there = false,
                Some(Fate::Over(_)) | None => {}
            }
        };
        match &item.step {
            Step::Fill(FillStep { from, .. }) => from.iter().for_each(|id| look(id, &fill_from)),
            Step::Gas(GasStep { from, .. }) | Step::Tap(TapStep { from, .. }) => {
                let made = from.iter().filter_map(|source| source.item.as_ref());
                made.for_each(|id| look(id, &ready_at));
            }
            _ => {}
        }
        (there, wait)
    }
}

fn fill_from(boil: &WorkItem) -> DateTime<FixedOffset> {
    match &boil.step {
        Step::Boil(BoilStep { fill_from, .. }) => *fill_from,
        _ => boil.end,
    }
}

/// When the kegs an item makes may be used.
pub(super) fn ready_at(item: &WorkItem) -> DateTime<FixedOffset> {
    match &item.step {
        Step::Fill(FillStep { cold_at, .. }) => *cold_at,
        Step::Gas(GasStep { ready_at, .. }) => *ready_at,
        _ => item.end,
    }
}

/// A delay in whole steps, rounded up.
fn in_steps(late: Duration, timeline: &Timeline) -> Duration {
    let step = timeline.step_minutes() as i64;
    let steps = (late.num_seconds() + step * 60 - 1).div_euclid(step * 60);
    Duration::minutes(steps * step)
}

/// The first full step from now on.
fn first_instant(facts: &Facts, timeline: &Timeline) -> Result<DateTime<FixedOffset>, NoAnswer> {
    let now = facts.now.to_utc();
    let from = timeline.at(timeline.step_from(now));
    if now < timeline.start() || from >= timeline.end() {
        return Err(NoAnswer::BadQuestion {
            field: "now".to_owned(),
            what: format!(
                "{} found; {} to {} is allowed (inside the published plan, before its last step)",
                facts.now.to_rfc3339(),
                timeline.stamp(timeline.start()).to_rfc3339(),
                timeline.stamp(timeline.end()).to_rfc3339()
            ),
        });
    }
    Ok(timeline.stamp(from))
}

fn check(plan: &Plan, begun: &UnderWay, facts: &Facts) -> Result<(), NoAnswer> {
    for (n, event) in facts.events.iter().enumerate() {
        let field = format!("events[{n}]");
        let planned = plan.work.iter().any(|item| item.id == *event.item());
        if !planned && !begun.boils.iter().any(|boil| boil.item == *event.item()) {
            return Err(NoAnswer::BadQuestion {
                field: format!("{field}.item"),
                what: format!("there is no work item \"{}\" in the plan", event.item()),
            });
        }
        if let Some(at) = event.at()
            && at > facts.now
        {
            return Err(NoAnswer::BadQuestion {
                field: format!("{field}.at"),
                what: format!(
                    "{} found; what has happened is not later than now, {}",
                    at.to_rfc3339(),
                    facts.now.to_rfc3339()
                ),
            });
        }
    }
    if facts.frozen_min > 20_160 {
        return Err(NoAnswer::BadQuestion {
            field: "frozen_min".to_owned(),
            what: format!("{} found; 0 to 20160 is allowed", facts.frozen_min),
        });
    }
    Ok(())
}
