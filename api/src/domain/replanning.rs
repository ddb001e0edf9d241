//! Replanning: what has happened to a published plan, as facts, and what came of it.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use scheduler::answer::{Change, Event, Facts, Measured, Replanned, Shortfall};
use scheduler::check::Fault;
use scheduler::plan::{Plan, WorkId};
use scheduler::scenario::Scenario;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Refusal;
use super::plans::{Gap, TimeLimit};
use super::work::{Records, WorkRecord, WorkState};

/// The longest frozen window and the longest delay, in minutes: two weeks.
const LONGEST_MIN: u32 = 20_160;

/// What to replan from, besides what was recorded about the work.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct ReplanRequest {
    /// The present (RFC 3339); the clock's where nothing is said. It lies inside the plan, and
    /// nothing recorded about its work is later.
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-03T10:40:00+01:00")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    pub(crate) now: Option<DateTime<FixedOffset>>,
    /// Minutes from now in which no boil, fill, gassing or wash is changed, if the facts allow.
    #[schema(maximum = 20160, example = 120)]
    pub(crate) frozen_min: u32,
    /// Work that is known to come later than planned.
    #[schema(max_items = 2000)]
    pub(crate) late: Vec<LateWork>,
    /// What was measured or counted just now; it outranks what follows from the recorded work.
    pub(crate) measured: Measured,
    /// Seconds to search at most; 60 where nothing is said.
    pub(crate) time_limit_s: Option<TimeLimit>,
    /// Good enough: part of the bound; 0.001 where nothing is said.
    pub(crate) gap: Option<Gap>,
}

/// A work item that comes later than planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LateWork {
    /// The work item.
    pub(crate) item: WorkId,
    /// Minutes later than planned.
    #[schema(minimum = 1, maximum = 20160, example = 40)]
    pub(crate) minutes: u32,
}

impl ReplanRequest {
    fn check(&self, plan: &Plan) -> Result<(), Refusal> {
        let mut faults = Vec::new();
        let mut refuse = |field: String, what: String| faults.push(Fault { field, what });
        if self.frozen_min > LONGEST_MIN {
            let found = self.frozen_min;
            refuse(
                "frozen_min".to_owned(),
                format!("{found} found; 0 to {LONGEST_MIN} is allowed"),
            );
        }
        for (n, late) in self.late.iter().enumerate() {
            if !(1..=LONGEST_MIN).contains(&late.minutes) {
                let found = late.minutes;
                refuse(
                    format!("late[{n}].minutes"),
                    format!("{found} found; 1 to {LONGEST_MIN} is allowed"),
                );
            }
            if plan.work.iter().all(|item| item.id != late.item) {
                refuse(
                    format!("late[{n}].item"),
                    format!("there is no work item \"{}\" in the plan", late.item),
                );
            }
        }
        if faults.is_empty() {
            Ok(())
        } else {
            Err(Refusal::Invalid(faults))
        }
    }
}

/// What is known about a published plan: the records of its own work, and of boils that were under
/// way when it began, which keep the names they had before.
#[derive(Debug, Default)]
pub(crate) struct Recorded {
    pub(crate) own: Records,
    pub(crate) under_way: Records,
}

/// The facts to replan from.
pub(crate) fn facts(
    request: &ReplanRequest,
    (plan, scenario): (&Plan, &Scenario),
    recorded: &Recorded,
    clock: DateTime<FixedOffset>,
) -> Result<Facts, Refusal> {
    request.check(plan)?;
    let mut events: Vec<Event> = Vec::new();
    let in_plan: BTreeMap<&WorkId, &WorkRecord> = recorded
        .own
        .iter()
        .filter(|(id, _)| plan.work.iter().any(|item| item.id == **id))
        .collect();
    for (id, record) in in_plan {
        events.extend(event(id, record));
    }
    for boil in &scenario.stock.under_way.boils {
        let record = recorded.under_way.get(&boil.item);
        // That it was started is part of the scenario.
        let ended = record.filter(|record| record.state != WorkState::Started);
        events.extend(ended.and_then(|record| event(&boil.item, record)));
    }
    let latest = recorded.own.values().filter_map(WorkRecord::since).max();
    let now = match (request.now, latest) {
        (Some(now), Some(latest)) if now < latest => {
            return Err(Refusal::field(
                "now",
                format!(
                    "{} found; {} or later is allowed, when something was last recorded",
                    now.to_rfc3339(),
                    latest.to_rfc3339()
                ),
            ));
        }
        (Some(now), _) => now,
        // Clocks differ a little: what was recorded has happened.
        (None, latest) => latest.map_or(clock, |latest| latest.max(clock)),
    };
    events.extend(request.late.iter().map(|late| Event::Late {
        item: late.item.clone(),
        minutes: late.minutes,
    }));
    Ok(Facts {
        now,
        frozen_min: request.frozen_min,
        events,
        measured: request.measured.clone(),
    })
}

fn event(id: &WorkId, record: &WorkRecord) -> Option<Event> {
    let item = id.clone();
    match record.state {
        WorkState::Planned => None,
        WorkState::Started => record.started_at.map(|at| Event::Started { item, at }),
        WorkState::Finished => record.ended_at.map(|at| Event::Finished { item, at }),
        WorkState::Failed => record.ended_at.map(|at| Event::Failed {
            item,
            at,
            out_until: record.out_until,
        }),
        WorkState::Skipped => Some(Event::Skipped { item }),
    }
}

/// What a replanning changed, and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct Replanning {
    /// What it was made from.
    pub(crate) facts: Facts,
    /// Where what has happened differs from what was published, in words.
    #[schema(example = json!(["boil-3 failed at Wed 10:30"]))]
    pub(crate) because: Vec<String>,
    /// What would run short if all published work stayed.
    pub(crate) shortfalls: Vec<Shortfall>,
    /// Work that is not as it was published, with reasons.
    pub(crate) changes: Vec<Change>,
    /// Published work items that stay as they are.
    #[schema(minimum = 0, example = 61)]
    pub(crate) kept: u32,
    /// Whether nothing inside the frozen window was changed; false only where the facts do not let
    /// it stay.
    pub(crate) frozen_kept: bool,
    /// What the changes cost in the plan's worth: a small price for each start that is dropped or
    /// added, so that moving work must pay.
    #[schema(minimum = 0, example = 4.2)]
    pub(crate) price_of_changes: f64,
}

impl Replanning {
    /// What is told beside the new plan.
    pub(crate) fn of(facts: Facts, found: &Replanned) -> Self {
        Self {
            facts,
            because: found.because.clone(),
            shortfalls: found.shortfalls.clone(),
            changes: found.changes.clone(),
            kept: found.kept,
            frozen_kept: found.frozen_kept,
            price_of_changes: found.price_of_changes,
        }
    }
}

/// Which records a new plan takes over from the one it replaces: what was recorded after its facts
/// about work that is still in it.
///
/// # Errors
/// [`Refusal::Outdated`] if work that the new plan does not hold was begun or ended since.
pub(crate) fn taken_over(
    facts: &Facts,
    known: &Records,
    new: &Plan,
) -> Result<Vec<(WorkId, WorkRecord)>, Refusal> {
    let mut taken = Vec::new();
    for (id, record) in known {
        let told = facts
            .events
            .iter()
            .any(|then| Some(then) == event(id, record).as_ref());
        if told {
            continue;
        }
        let ahead = new.work.iter().any(|item| item.id == *id);
        // Started before the facts and over since: it is on hand or under way in the new plan.
        let began_before = facts.events.iter().any(|then| then.item() == id);
        match (ahead, began_before) {
            (true, _) => taken.push((id.clone(), record.clone())),
            (false, true) if record.state == WorkState::Finished => {}
            (false, _) if record.state == WorkState::Finished && happened(record, facts) => {}
            (false, _) => {
                return Err(Refusal::Outdated {
                    item: id.clone(),
                    state: record.state,
                });
            }
        }
    }
    Ok(taken)
}

/// Whether something that was told late had happened by the time of the facts, as was assumed.
fn happened(record: &WorkRecord, facts: &Facts) -> bool {
    record.since().is_some_and(|at| at <= facts.now)
}
