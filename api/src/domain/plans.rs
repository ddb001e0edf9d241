//! Plans: requests, their state, and what became of them.

use std::fmt;

use chrono::{DateTime, FixedOffset};
use model::quantity;
use scheduler::plan::Plan;
use scheduler::scenario::{Grid, Horizon, SiteId};
use scheduler::search::Limits;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

use super::Revision;
use super::replanning::Replanning;

quantity! {
    /// How long to search for a plan; the best found by then is kept.
    pub(crate) struct TimeLimit("time limit", "s", 1.0..=3600.0, example 60.0, get seconds)
}
quantity! {
    /// The distance to the proven bound that is good enough, as a part of the bound.
    pub(crate) struct Gap("gap", "", 0.0..=0.5, example 0.001, get part)
}

/// Names a plan; ids sort by the time of the request.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(try_from = "String", into = "String")]
#[schema(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
pub(crate) struct PlanId(Uuid);

/// Why a text is not the id of a plan.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is not the id of a plan; a UUID is allowed, such as a request for a plan returns")]
pub(crate) struct BadPlanId(String);

impl PlanId {
    /// A new id, later than those before.
    pub(crate) fn new() -> Self {
        Self(Uuid::now_v7())
    }

    pub(crate) fn parse(text: &str) -> Result<Self, BadPlanId> {
        let id = Uuid::parse_str(text).map_err(|_| BadPlanId(text.chars().take(64).collect()))?;
        Ok(Self(id))
    }
}

impl TryFrom<String> for PlanId {
    type Error = BadPlanId;
    fn try_from(text: String) -> Result<Self, BadPlanId> {
        Self::parse(&text)
    }
}

impl From<PlanId> for String {
    fn from(id: PlanId) -> Self {
        id.to_string()
    }
}

impl fmt::Display for PlanId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// Which stretch of time to plan, and how long and how far to search.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlanRequest {
    /// First instant (RFC 3339 with an offset), on a full grid step of the site's clock.
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    pub(crate) start: DateTime<FixedOffset>,
    /// Days by the site's clock.
    #[schema(minimum = 1, maximum = 56, example = 7)]
    pub(crate) days: u8,
    /// Minutes of a step of the plan.
    pub(crate) grid_minutes: Grid,
    /// Seconds to search at most; 60 where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) time_limit_s: Option<TimeLimit>,
    /// Good enough: part of the bound; 0.001 where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) gap: Option<Gap>,
}

impl PlanRequest {
    /// A plan of a horizon, searched as usual.
    pub(crate) fn of(horizon: &Horizon) -> Self {
        Self {
            start: horizon.start,
            days: horizon.days,
            grid_minutes: horizon.grid_minutes,
            time_limit_s: None,
            gap: None,
        }
    }

    pub(crate) fn horizon(&self) -> Horizon {
        Horizon {
            start: self.start,
            days: self.days,
            grid_minutes: self.grid_minutes,
            until: None,
        }
    }

    pub(crate) fn limits(&self) -> Limits {
        let usual = Limits::default();
        Limits {
            gap: self.gap.map_or(usual.gap, Gap::part),
            seconds: self.time_limit_s.map_or(usual.seconds, TimeLimit::seconds),
            ..usual
        }
    }
}

/// How far a requested plan has come.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Serialize,
    Deserialize,
    ToSchema,
    strum::IntoStaticStr,
    strum::EnumString,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
pub(crate) enum PlanState {
    /// Waiting for a solver.
    Queued,
    /// Being searched.
    Running,
    /// There is a plan.
    Done,
    /// There is none; `failure` says why.
    Failed,
    /// Somebody cancelled it; the best plan found until then is kept, if there was one.
    Cancelled,
}

impl fmt::Display for PlanState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.into_str())
    }
}

/// What a search knows so far.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct PlanProgress {
    /// Worth of the best plan so far, in the site's currency; none before the first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 8210.8)]
    pub(crate) best: Option<f64>,
    /// What no plan can exceed, in the site's currency; none before it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 8219.0)]
    pub(crate) bound: Option<f64>,
    /// Seconds searched so far.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, example = 1.4)]
    pub(crate) seconds: Option<f64>,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub(crate) struct PlanFailure {
    /// A stable code, one of those `GET /v1/problems` lists.
    #[schema(example = "stopped")]
    pub(crate) code: String,
    /// What happened, and what to do about it.
    #[schema(example = "The search was stopped before it had an answer; allow more time.")]
    pub(crate) detail: String,
}

/// A requested plan and what became of it, without the plan itself.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct PlanSummary {
    /// Its id.
    pub(crate) id: PlanId,
    /// The site.
    pub(crate) site: SiteId,
    /// How far it has come.
    pub(crate) state: PlanState,
    /// The plan it was made from, if it is a replanning.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) replans: Option<PlanId>,
    /// The revision of the setup it was requested with.
    pub(crate) setup_revision: Revision,
    /// What was asked for.
    pub(crate) request: PlanRequest,
    /// What the search knows so far.
    pub(crate) progress: PlanProgress,
    /// Why there is no plan, if it failed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) failure: Option<PlanFailure>,
    /// When it was requested (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T08:00:00+01:00")]
    pub(crate) created_at: DateTime<FixedOffset>,
    /// When a solver last took it up (RFC 3339).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-01T08:00:01+01:00")]
    pub(crate) started_at: Option<DateTime<FixedOffset>>,
    /// When it ended (RFC 3339).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-01T08:00:04+01:00")]
    pub(crate) finished_at: Option<DateTime<FixedOffset>>,
}

/// A requested plan, with the plan itself once there is one.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct PlanResource {
    /// What was asked for and how far it has come.
    #[serde(flatten)]
    pub(crate) summary: PlanSummary,
    /// The plan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) result: Option<Plan>,
    /// What was changed and why, if it is a replanning.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) replanning: Option<Replanning>,
}
