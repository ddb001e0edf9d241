//! What is searched in the background: plans, and questions about plans.

use chrono::{DateTime, FixedOffset};
use scheduler::answer::{
    CommitmentAnswer, CommitmentQuestion, ConfidenceAnswer, ConfidenceQuestion, Facts, Replanned,
    WhatIfAnswer, WhatIfQuestion,
};
use scheduler::plan::Plan;
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::plans::{PlanFailure, PlanId, PlanProgress, PlanState};

/// What a search is for.
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
pub(crate) enum SearchKind {
    /// A plan from what is on hand.
    Plan,
    /// A new plan from what has happened to a published one.
    Replan,
    /// Whether something more can be taken.
    Commitment,
    /// What changes to the scenario would make different.
    WhatIf,
    /// How sure a plan is.
    Confidence,
}

impl SearchKind {
    /// Kinds that end with a plan to work by.
    pub(crate) const PLANS: [&str; 2] = ["plan", "replan"];

    pub(crate) fn is_plan(self) -> bool {
        matches!(self, Self::Plan | Self::Replan)
    }
}

/// A search to be done.
#[derive(Debug, Clone)]
pub(crate) enum Task {
    Plan,
    Replan {
        published: Box<Plan>,
        facts: Facts,
    },
    Commitment(CommitmentQuestion),
    WhatIf(WhatIfQuestion),
    Confidence {
        plan: Box<Plan>,
        question: ConfidenceQuestion,
    },
}

/// What a search has found.
#[derive(Debug)]
pub(crate) enum QuestionResult {
    Plan(Box<Plan>),
    Replanned(Box<Replanned>),
    Commitment(Box<CommitmentAnswer>),
    WhatIf(Box<WhatIfAnswer>),
    Confidence(Box<ConfidenceAnswer>),
}

/// A question and its answer, once there is one.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct Question {
    /// Its id.
    pub(crate) id: PlanId,
    /// The site.
    pub(crate) site: SiteId,
    /// What was asked.
    #[schema(inline)]
    pub(crate) kind: SearchKind,
    /// How far it has come.
    pub(crate) state: PlanState,
    /// The plan it is about, if it is about one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) plan: Option<PlanId>,
    /// What the search knows so far.
    pub(crate) progress: PlanProgress,
    /// Why there is no answer, if it failed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) failure: Option<PlanFailure>,
    /// When it was asked (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T08:00:00+01:00")]
    pub(crate) created_at: DateTime<FixedOffset>,
    /// When the search ended (RFC 3339).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-01T08:00:09+01:00")]
    pub(crate) finished_at: Option<DateTime<FixedOffset>>,
    /// The answer to `commitment`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) commitment: Option<CommitmentAnswer>,
    /// The answer to `what_if`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) what_if: Option<WhatIfAnswer>,
    /// The answer to `confidence`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) confidence: Option<ConfidenceAnswer>,
}

impl Task {
    /// What it is for.
    pub(crate) fn kind(&self) -> SearchKind {
        match self {
            Self::Plan => SearchKind::Plan,
            Self::Replan { .. } => SearchKind::Replan,
            Self::Commitment(_) => SearchKind::Commitment,
            Self::WhatIf(_) => SearchKind::WhatIf,
            Self::Confidence { .. } => SearchKind::Confidence,
        }
    }
}

impl QuestionResult {
    /// The plan in it, to be shown as the best so far.
    pub(crate) fn plan(&self) -> Option<&Plan> {
        match self {
            Self::Plan(plan) => Some(plan),
            Self::Replanned(replanned) => Some(&replanned.plan),
            Self::Commitment(answer) => Some(&answer.plan),
            Self::WhatIf(_) | Self::Confidence(_) => None,
        }
    }
}
