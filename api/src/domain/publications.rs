//! Publication: which plan the floor works by.

use chrono::{DateTime, FixedOffset};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::plans::PlanId;
use super::words::Who;

/// The publication of a plan.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct Publication {
    /// Counts the publications of the site, from 1.
    #[schema(minimum = 1, example = 3)]
    pub(crate) number: i64,
    /// The plan.
    pub(crate) plan: PlanId,
    /// The site.
    pub(crate) site: SiteId,
    /// Who published it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) published_by: Option<Who>,
    /// When (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T08:20:00+01:00")]
    pub(crate) published_at: DateTime<FixedOffset>,
    /// When another plan took its place (RFC 3339); none for the one that is published now.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-03T10:50:00+01:00")]
    pub(crate) withdrawn_at: Option<DateTime<FixedOffset>>,
}

/// How to publish a plan.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct PublicationRequest {
    /// Who publishes it.
    pub(crate) by: Option<Who>,
    /// The plan that the caller believes is published now. Where another one is, nothing is
    /// published. A replanning always replaces the plan it was made from, and nothing else.
    pub(crate) replaces: Option<PlanId>,
}
