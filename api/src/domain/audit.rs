//! The audit trail: who changed what, and when.

use chrono::{DateTime, Utc};
use scheduler::scenario::SiteId;
use serde::Serialize;
use utoipa::ToSchema;

use super::access::ActorKind;

/// A change that was made.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct AuditEntry {
    /// Its place in the trail.
    #[schema(minimum = 1, example = 12)]
    pub(crate) seq: i64,
    /// When it was made (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T08:00:00Z")]
    pub(crate) at: DateTime<Utc>,
    /// Who made it.
    pub(crate) who: Who,
    /// What was done: the name of the operation in the contract.
    #[schema(example = "replace_setup")]
    pub(crate) operation: String,
    /// The HTTP method.
    #[schema(example = "PUT")]
    pub(crate) method: String,
    /// What it was done to.
    #[schema(example = "/v1/sites/harbour-bar/setup")]
    pub(crate) path: String,
    /// The site, where it was about one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, example = "harbour-bar")]
    pub(crate) site: Option<SiteId>,
    /// The id of the request, as it stands in the log and in X-Request-Id.
    #[schema(example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    pub(crate) request_id: String,
}

/// Who made a change.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct Who {
    /// A key or a person.
    pub(crate) kind: ActorKind,
    /// The id of the key or person.
    #[schema(example = "5f3a9c0b12de")]
    pub(crate) id: String,
    /// The name they had then.
    #[schema(example = "Till at the long bar")]
    pub(crate) name: String,
}
