//! When equipment may not run: quiet hours, and equipment that is out of service for a while.

use chrono::{DateTime, FixedOffset, NaiveTime};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{GasStationId, PotId, StoreId, Weekday};

/// Hours in which some equipment may not run, every week.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct QuietHours {
    /// The days of the week on which they start.
    #[schema(min_items = 1, max_items = 7)]
    pub days: Vec<Weekday>,
    /// Start, by the site's clock.
    #[schema(value_type = String, example = "22:00:00")]
    pub from: NaiveTime,
    /// End, by the site's clock; on the next day where it is not later than the start.
    #[schema(value_type = String, example = "07:00:00")]
    pub to: NaiveTime,
    /// What may not run then.
    #[schema(min_items = 1, max_items = 4)]
    pub silent: Vec<Noisy>,
}

/// Something that is heard, or may not be left alone at night.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Noisy {
    /// Pots on their heaters. Water that is hot may be chilled and filled.
    Heating,
    /// The ice machine; it makes no ice then.
    IceMachine,
    /// Washing.
    Washing,
    /// Kegs that are shaken.
    Shaking,
}

/// Equipment that is out of service for a while.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Outage {
    /// What is out of service.
    pub equipment: Equipment,
    /// From when (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T08:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub from: DateTime<FixedOffset>,
    /// Until when (RFC 3339); later than the start.
    #[schema(value_type = String, format = DateTime, example = "2026-06-04T12:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub until: DateTime<FixedOffset>,
    /// How many places, connections or washing stations are lost; all of them where nothing is
    /// said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 5000, example = 4)]
    pub lost: Option<u16>,
    /// What people call it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200, example = "Element being replaced")]
    pub note: Option<String>,
}

/// Something that can be out of service.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Equipment {
    /// A pot: nothing is heated, chilled or filled in it.
    Pot {
        /// The pot.
        pot: PotId,
    },
    /// Places of a cold store: no kegs stand there. Kegs that stood in the store when the plan
    /// starts keep theirs. A store that does not cool is not meant: its kegs warm.
    Places {
        /// The store.
        store: StoreId,
    },
    /// Connections of a gassing point: no kegs are coupled to them.
    Connections {
        /// The station.
        station: GasStationId,
    },
    /// The ice machine: it makes no ice. What is in the bin stays.
    IceMachine,
    /// Washing stations.
    Washing,
}
