//! Traceability: from a glass back to the water, and from a boil on to its kegs.
//!
//! A plan and those it was replanned from and into are one line of generations. Work that began
//! before the next generation starts stays where it was; everything later belongs to the next.

mod links;

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use chrono::{DateTime, FixedOffset};
use scheduler::plan::{Plan, WorkId, WorkItem};
use scheduler::scenario::Scenario;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::plans::PlanId;
use super::readings::Reading;
use super::work::{Records, WorkRecord, WorkState};

/// Which way to follow what is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Direction {
    /// From a keg on tap back to the water it was made from.
    Back,
    /// From a batch of water on to the kegs it went into.
    Forward,
}

/// A plan among those that were replanned from each other.
#[derive(Debug, Clone)]
pub(crate) struct Generation {
    pub(crate) id: PlanId,
    pub(crate) plan: Plan,
    pub(crate) scenario: Scenario,
    pub(crate) records: Records,
}

/// Kegs or water that a step was made from.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct TraceSource {
    /// How many kegs; none for water.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, example = 2)]
    pub(crate) kegs: Option<u32>,
    /// The work that made it. One entry where that is certain; several where kegs were counted and
    /// not named and any of these may have made them; none for what was on hand from before.
    pub(crate) made_by: Vec<TraceItem>,
    /// When kegs from stock were gassed (RFC 3339), where the count says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-05-30T15:00:00+01:00")]
    pub(crate) gassed_at: Option<DateTime<FixedOffset>>,
}

/// Names a work item of a plan.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
pub(crate) struct TraceItem {
    /// The plan.
    pub(crate) plan: PlanId,
    /// The work item.
    pub(crate) item: WorkId,
}

/// One step of a history: work, what became of it, what was measured, and what it was made from.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct TraceStep {
    /// The plan it belongs to.
    pub(crate) plan: PlanId,
    /// What was to be done.
    #[serde(flatten)]
    pub(crate) item: WorkItem,
    /// What became of it.
    #[serde(flatten)]
    pub(crate) record: WorkRecord,
    /// What it was made from.
    pub(crate) sources: Vec<TraceSource>,
    /// What was measured, in order of time.
    pub(crate) readings: Vec<Reading>,
}

/// The history of a work item, without readings; the item itself comes first, and each step before
/// those it leads to.
///
/// `generations` are in order of time. None if the item is not in the one named.
pub(crate) fn trace(
    generations: &[Generation],
    start: &TraceItem,
    direction: Direction,
) -> Option<Vec<TraceStep>> {
    let steps = whole(generations);
    let of_item: BTreeMap<TraceItem, usize> = steps
        .iter()
        .enumerate()
        .map(|(n, step)| (name(step), n))
        .collect();
    let first = match of_item.get(start) {
        Some(first) => *first,
        // Work that a later plan has taken over goes by its name there.
        None => {
            let named = |step: &TraceStep| step.item.id == start.item;
            let known = generations.iter().find(|g| g.id == start.plan)?;
            known.plan.work.iter().find(|item| item.id == start.item)?;
            steps.iter().rposition(named)?
        }
    };
    let mut leads: Vec<Vec<usize>> = vec![Vec::new(); steps.len()];
    for (n, step) in steps.iter().enumerate() {
        let made_by = step.sources.iter().flat_map(|source| &source.made_by);
        for source in made_by.filter_map(|item| of_item.get(item)) {
            match direction {
                Direction::Back => leads[n].push(*source),
                Direction::Forward => leads[*source].push(n),
            }
        }
    }
    let (mut seen, mut order) = (BTreeSet::from([first]), Vec::new());
    let mut waiting = VecDeque::from([first]);
    while let Some(n) = waiting.pop_front() {
        order.push(n);
        waiting.extend(leads[n].iter().copied().filter(|next| seen.insert(*next)));
    }
    Some(order.into_iter().map(|n| steps[n].clone()).collect())
}

fn name(step: &TraceStep) -> TraceItem {
    TraceItem {
        plan: step.plan,
        item: step.item.id.clone(),
    }
}

/// Everything that was done or is still to be done, over all generations, without readings.
pub(crate) fn whole(generations: &[Generation]) -> Vec<TraceStep> {
    let mut steps: Vec<TraceStep> = Vec::new();
    for (n, generation) in generations.iter().enumerate() {
        let next = generations.get(n + 1).map(|next| next.plan.start);
        let before = steps.clone();
        for item in &generation.plan.work {
            let record = generation.records.get(&item.id);
            let record = record.cloned().unwrap_or(WorkRecord::PLANNED);
            let begun = next.is_none_or(|next| item.start < next);
            if !begun && record.state == WorkState::Planned {
                continue;
            }
            steps.push(TraceStep {
                plan: generation.id,
                sources: links::sources(generation, item, &before),
                item: item.clone(),
                record,
                readings: Vec::new(),
            });
        }
    }
    steps
}

#[cfg(test)]
mod tests;
