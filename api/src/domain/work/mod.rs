//! Work on the floor: what became of each item of a published plan.

mod report;
mod visits;

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use scheduler::plan::{WorkId, WorkItem};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::codes::Grai;
use super::plans::PlanId;
use super::readings::Reading;
use super::words::{Note, Who};

pub(crate) use report::{FailureReport, RecordedWork, WorkReport};
pub(crate) use visits::{Visit, due, later};

/// How far a work item has come.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    ToSchema,
    strum::IntoStaticStr,
    strum::EnumString,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
pub(crate) enum WorkState {
    /// Nothing was said about it.
    Planned,
    /// Somebody is at it.
    Started,
    /// It is over.
    Finished,
    /// It failed: what it was to make is lost.
    Failed,
    /// It was not done.
    Skipped,
}

/// A path that names a work item of a plan.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct ItemPath {
    /// The plan's id.
    #[param(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    pub(crate) plan: PlanId,
    /// The work item's id within the plan.
    #[param(value_type = String, pattern = "^[a-z]+-[0-9]+$", example = "boil-3")]
    pub(crate) item: WorkId,
}

/// What people do with a work item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Deed {
    Start,
    Finish,
    Fail,
    Skip,
}

impl Deed {
    /// The state it brings about.
    pub(crate) fn brings(self) -> WorkState {
        match self {
            Self::Start => WorkState::Started,
            Self::Finish => WorkState::Finished,
            Self::Fail => WorkState::Failed,
            Self::Skip => WorkState::Skipped,
        }
    }

    /// Whether it may be done to an item in a state.
    fn may(self, state: WorkState) -> bool {
        match state {
            WorkState::Planned => true,
            WorkState::Started => matches!(self, Self::Finish | Self::Fail),
            WorkState::Finished | WorkState::Failed | WorkState::Skipped => false,
        }
    }
}

/// What was recorded about a work item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct WorkRecord {
    /// How far it has come.
    #[schema(inline)]
    pub(crate) state: WorkState,
    /// When it was started (RFC 3339), if that was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T09:05:00+01:00")]
    pub(crate) started_at: Option<DateTime<FixedOffset>>,
    /// When it was finished, failed or given up (RFC 3339).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T11:10:00+01:00")]
    pub(crate) ended_at: Option<DateTime<FixedOffset>>,
    /// Until when the pot of a failed boil is out of use (RFC 3339).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T14:00:00+01:00")]
    pub(crate) out_until: Option<DateTime<FixedOffset>>,
    /// Who reported last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) by: Option<Who>,
    /// What else was said last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) note: Option<Note>,
    /// Kegs it was done with that were named.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) named_kegs: Vec<Grai>,
}

impl WorkRecord {
    /// Nothing was said yet.
    pub(crate) const PLANNED: Self = Self {
        state: WorkState::Planned,
        started_at: None,
        ended_at: None,
        out_until: None,
        by: None,
        note: None,
        named_kegs: Vec::new(),
    };

    /// When the present state was brought about.
    pub(crate) fn since(&self) -> Option<DateTime<FixedOffset>> {
        self.ended_at.or(self.started_at)
    }
}

/// Records by work item.
pub(crate) type Records = BTreeMap<WorkId, WorkRecord>;

/// A work item and what became of it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct FloorItem {
    /// The plan it belongs to.
    pub(crate) plan: PlanId,
    /// What is to be done.
    #[serde(flatten)]
    pub(crate) item: WorkItem,
    /// What became of it.
    #[serde(flatten)]
    pub(crate) record: WorkRecord,
}

/// A work item, what became of it, and what was measured.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct FloorItemReadings {
    /// The item and what became of it.
    #[serde(flatten)]
    pub(crate) item: FloorItem,
    /// What was measured, in order of time.
    pub(crate) readings: Vec<Reading>,
}
