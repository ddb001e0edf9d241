//! What a plan makes of each line of demand.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::scenario::{DemandId, DemandKind, ProductId};

/// What a plan makes of one line of demand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Served {
    /// The line.
    pub demand: DemandId,
    /// The product.
    pub product: ProductId,
    /// The service.
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    pub due: DateTime<FixedOffset>,
    /// Forecast or booking.
    pub kind: DemandKind,
    /// Litres wanted.
    #[schema(minimum = 0, example = 24.0)]
    pub wanted_l: f64,
    /// Litres the plan serves.
    #[schema(minimum = 0, example = 24.0)]
    pub served_l: f64,
    /// Litres the plan cannot serve.
    #[schema(minimum = 0, example = 0.0)]
    pub short_l: f64,
    /// What of the litres served is another product, because this one is short.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instead: Vec<Instead>,
    /// Why it cannot, most limiting first; empty where nothing is short. Resources of which one more
    /// would help this line, or if none does, those of which one more would help other lines.
    pub why: Vec<Reason>,
}

/// Litres of another product, served where the one wanted is short.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Instead {
    /// The product served.
    pub product: ProductId,
    /// How much.
    #[schema(minimum = 0, example = 6.5)]
    pub litres: f64,
}

/// What stands ready of a product at the end of a day, where the setup asks for a safety stock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Reserve {
    /// The product.
    pub product: ProductId,
    /// The end of the day.
    #[schema(value_type = String, format = DateTime, example = "2026-06-06T06:00:00+01:00")]
    pub at: DateTime<FixedOffset>,
    /// Litres that should stand ready.
    #[schema(minimum = 0, example = 18.0)]
    pub wanted_l: f64,
    /// Litres of them that do.
    #[schema(minimum = 0, example = 18.0)]
    pub kept_l: f64,
    /// Litres of them that do not.
    #[schema(minimum = 0, example = 0.0)]
    pub short_l: f64,
}

/// A resource that limits a plan or a capacity, and what one more unit of it was found to bring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Reason {
    /// The resource, in words.
    #[schema(example = "connections of the resting rack")]
    pub resource: String,
    /// What one more unit is.
    #[schema(example = "one more connection")]
    pub one_more: String,
    /// What one more unit would bring, found by asking again with it: litres served in a plan, kegs
    /// in a capacity answer. Where the answer needed a search, the relaxation is solved again, in
    /// which parts of a keg count: then read it as a measure of how much it would help.
    #[schema(example = 17.9)]
    pub brings: f64,
    /// Unit of that figure: `L` or `kegs`.
    #[schema(example = "L")]
    pub unit: String,
    /// What of it this line of demand would get, in litres: others are short of the same. Left out
    /// in a capacity answer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, example = 6.5)]
    pub here_l: Option<f64>,
    /// When it binds, in order of time: the stretches in which more of it would be used, those that
    /// matter most; of a line of demand those before it is due, if there are any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 8)]
    pub binds: Vec<BindingStretch>,
}

/// A stretch of time in which a resource binds: all of it is in use, or none is left.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BindingStretch {
    /// From when (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T09:00:00+01:00")]
    pub from: DateTime<FixedOffset>,
    /// Until when (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T13:30:00+01:00")]
    pub until: DateTime<FixedOffset>,
}
