//! Calendar feeds: a plan's work as iCalendar, by a secret address that can be revoked.

use chrono::{DateTime, FixedOffset};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

use super::roles::Role;
use super::words::Note;

/// Names a calendar feed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(transparent)]
#[schema(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
pub(crate) struct CalendarId(pub(crate) Uuid);

/// What a calendar feed is to show.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct CalendarRequest {
    /// Only the work of this role; all work where none is named.
    pub(crate) role: Option<Role>,
    /// Whose it is, or what it is for.
    pub(crate) note: Option<Note>,
}

/// A calendar feed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct CalendarFeed {
    /// Its id.
    pub(crate) id: CalendarId,
    /// The site.
    pub(crate) site: SiteId,
    /// Only the work of this role; all work where none is named.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) role: Option<Role>,
    /// Whose it is, or what it is for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) note: Option<Note>,
    /// When it was made (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T09:12:44+01:00")]
    pub(crate) created_at: DateTime<FixedOffset>,
}

/// A calendar feed and its secret address.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct CalendarAddress {
    /// The feed.
    #[serde(flatten)]
    pub(crate) feed: CalendarFeed,
    /// The path to subscribe to, on this service. Whoever knows it can read the calendar; it is
    /// shown this once.
    #[schema(example = "/v1/calendars/5f2b0c.ics")]
    pub(crate) path: String,
}
