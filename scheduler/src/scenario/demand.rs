//! What is wanted, and when.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::quantities::DemandVolume;
use super::{DemandId, ProductId};

/// Litres of a product wanted at a service.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Demand {
    /// The caller's own reference, unique within a site.
    pub id: DemandId,
    /// The product.
    pub product: ProductId,
    /// The service: the time by which it must be on tap (RFC 3339, with an offset).
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub due: DateTime<FixedOffset>,
    /// How much.
    pub litres: DemandVolume,
    /// 1 is served first, 5 last.
    pub priority: Priority,
    /// Where the number comes from; a booking outranks a forecast of the same priority.
    pub kind: DemandKind,
    /// What people call it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200, example = "Wedding, 80 guests")]
    pub note: Option<String>,
}

/// Where a demand comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DemandKind {
    /// Expected from experience.
    Forecast,
    /// Promised to somebody.
    Booking,
}

/// Which demand is met first: 1 before 2, and so on to 5.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct Priority(u8);

/// Why a number is not a priority.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0} is not a priority: 1 (served first) to 5 (served last) are allowed")]
pub struct BadPriority(u8);

impl Priority {
    /// Served before all others.
    pub const FIRST: Self = Self(1);
    /// Where nothing else is said.
    pub const USUAL: Self = Self(3);

    /// The number, 1 to 5.
    #[must_use]
    pub fn number(self) -> u8 {
        self.0
    }
}

impl TryFrom<u8> for Priority {
    type Error = BadPriority;
    fn try_from(number: u8) -> Result<Self, BadPriority> {
        if (1..=5).contains(&number) {
            Ok(Self(number))
        } else {
            Err(BadPriority(number))
        }
    }
}

impl From<Priority> for u8 {
    fn from(priority: Priority) -> Self {
        priority.0
    }
}

impl utoipa::PartialSchema for Priority {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::Integer)
            .description(Some("1 is served first, 5 last"))
            .minimum(Some(1))
            .maximum(Some(5))
            .examples([serde_json::json!(3)])
            .into()
    }
}

impl utoipa::ToSchema for Priority {}
