//! Replanning moves nothing without a cause, and what it does holds.

use chrono::{DateTime, Duration, FixedOffset};
use scheduler::answer::{Event, Facts, Replanned, replan};
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::plan::{Plan, Step};

use crate::runner::{Finding, Verdict, holds, limits, quickly};

/// Instants at which a scenario is looked at, as parts of its horizon.
const LOOKS: [f64; 3] = [0.1, 0.35, 0.7];

#[test]
fn with_nothing_changed_nothing_moves() {
    holds(12, 60, |scenario| {
        let made = quickly(scenario)?;
        for part in LOOKS {
            unmoved(scenario, &made, at(&made, part))?;
        }
        Ok(())
    });
}

#[test]
fn what_replaces_failed_work_passes_its_replay_and_has_reasons() {
    holds(13, 30, |scenario| {
        let made = quickly(scenario)?;
        let mut boils = made
            .work
            .iter()
            .filter(|item| matches!(item.step, Step::Boil(_)));
        let Some(boil) = boils.next() else {
            return Err(Finding::Elsewhere);
        };
        let now = boil.start + Duration::minutes(10);
        let facts = Facts {
            events: vec![Event::Failed {
                item: boil.id.clone(),
                at: now,
                out_until: None,
            }],
            ..Facts::none(now)
        };
        let new = replanned(scenario, &made, &facts)?;
        match new.changes.iter().find(|change| change.why.is_empty()) {
            Some(change) => Err(Finding::Broken(format!(
                "{} moves for no reason",
                change.item
            ))),
            None => Ok(()),
        }
    });
}

/// An instant on the minute.
fn at(made: &Plan, part: f64) -> DateTime<FixedOffset> {
    let minutes = (made.end - made.start).num_minutes() as f64 * part;
    made.start + Duration::minutes(minutes as i64)
}

fn replanned(scenario: &Checked, made: &Plan, facts: &Facts) -> Result<Replanned, String> {
    let answer = replan(scenario, made, facts, limits(0.3), Watch::default());
    answer.map_err(|error| format!("{}: {error}", facts.now))
}

fn unmoved(scenario: &Checked, made: &Plan, now: DateTime<FixedOffset>) -> Verdict {
    let new = replanned(scenario, made, &Facts::none(now))?;
    if let Some(change) = new.changes.first() {
        return Err(Finding::Broken(format!(
            "{now}: {} moves: {:?}",
            change.item, change.why
        )));
    }
    if let Some(short) = new.shortfalls.first() {
        return Err(Finding::Broken(format!("{now}: {short:?}")));
    }
    let (before, after) = (made.short_litres(), new.plan.short_litres());
    if after > before + 0.1 {
        return Err(Finding::Broken(format!(
            "{now}: {after} L are short, {before} before"
        )));
    }
    Ok(())
}
