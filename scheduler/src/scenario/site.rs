//! Where soda is made: the facts of the place itself.

use chrono_tz::Tz;
use model::{ChlorineResidual, Elevation, Temperature};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::SiteId;

/// One bar or kitchen making soda.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// The site's own id.
    pub id: SiteId,
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "Harbour bar")]
    pub name: String,
    /// Time zone of the IANA database; shifts and services follow its clock.
    #[schema(value_type = String, example = "Europe/Lisbon")]
    pub time_zone: Tz,
    /// Height above sea level; it sets the boiling point and the meaning of a gauge.
    pub elevation_m: Elevation,
    /// Air of the room the pots stand in.
    pub room_c: Temperature,
    /// The water that comes out of the tap.
    pub water: TapWater,
    /// Three-letter currency code of ISO 4217.
    #[schema(pattern = "^[A-Z]{3}$", example = "EUR")]
    pub currency: String,
}

/// The water that comes out of the tap.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TapWater {
    /// Its temperature.
    pub temperature_c: Temperature,
    /// Its measured total chlorine (free chlorine and chloramine), as Cl2.
    pub total_chlorine_mg_per_l: ChlorineResidual,
}
