//! The stretch of time a plan covers.

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::timeline::Timeline;

/// The most days a plan covers: eight weeks.
pub const LONGEST_DAYS: u8 = 56;

/// The stretch of time a plan covers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Horizon {
    /// First instant (RFC 3339 with an offset), on a full step of the site's clock.
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub start: DateTime<FixedOffset>,
    /// Days by the site's clock: it ends at the same wall-clock time that many days later.
    #[schema(minimum = 1, maximum = 56, example = 7)]
    pub days: u8,
    /// Length of a step.
    pub grid_minutes: Grid,
    /// An earlier end, on a full step: where a plan takes over for the rest of another's horizon.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    #[serde(deserialize_with = "crate::scenario::instants::instant_if_any")]
    pub until: Option<DateTime<FixedOffset>>,
}

impl Horizon {
    /// The steps it has at a site in `zone`.
    #[must_use]
    pub fn timeline(&self, zone: Tz) -> Timeline {
        let start = self.start.to_utc();
        let whole = Timeline::of_days(start, self.days, self.grid_minutes.minutes(), zone);
        match self.until {
            Some(until) => whole.until(until.to_utc()),
            None => whole,
        }
    }
}

/// Length of a step of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "u16", into = "u16")]
pub enum Grid {
    /// A quarter of an hour.
    Quarter,
    /// Half an hour.
    Half,
    /// An hour.
    Hour,
}

/// Why a number is not a grid.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0} min is not a step a plan can have: 15, 30 and 60 are allowed")]
pub struct BadGrid(u16);

impl Grid {
    /// Minutes of a step.
    #[must_use]
    pub fn minutes(self) -> u16 {
        match self {
            Self::Quarter => 15,
            Self::Half => 30,
            Self::Hour => 60,
        }
    }
}

impl TryFrom<u16> for Grid {
    type Error = BadGrid;
    fn try_from(minutes: u16) -> Result<Self, BadGrid> {
        match minutes {
            15 => Ok(Self::Quarter),
            30 => Ok(Self::Half),
            60 => Ok(Self::Hour),
            other => Err(BadGrid(other)),
        }
    }
}

impl From<Grid> for u16 {
    fn from(grid: Grid) -> Self {
        grid.minutes()
    }
}

impl utoipa::PartialSchema for Grid {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::Integer)
            .description(Some("Minutes of a step: 15, 30 or 60"))
            .enum_values(Some([15, 30, 60]))
            .examples([serde_json::json!(30)])
            .into()
    }
}

impl utoipa::ToSchema for Grid {}
