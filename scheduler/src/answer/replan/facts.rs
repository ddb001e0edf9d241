//! What has happened since a plan was published.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::plan::WorkId;
use crate::scenario::quantities::StockMass;
use crate::scenario::{EmptyKegs, FilledKegs, MaterialStock, ReadyKegs, TappedKegs};

/// What has happened since a plan was published, and how it may be changed.
///
/// No news is good news: work that should have begun by now and is not mentioned has begun as
/// planned. Work that rests on what failed or is late is not taken for done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Facts {
    /// The present (RFC 3339); the new plan starts with the next full step.
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T10:40:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub now: DateTime<FixedOffset>,
    /// Minutes from now in which no boil, fill, gassing or wash is changed, if the facts allow.
    #[serde(default)]
    #[schema(maximum = 20160, example = 120)]
    pub frozen_min: u32,
    /// What became of work items.
    #[serde(default)]
    #[schema(max_items = 2000)]
    pub events: Vec<Event>,
    /// What was measured or counted just now; it outranks what follows from the events.
    #[serde(default)]
    pub measured: Measured,
}

impl Facts {
    /// Nothing but the time.
    #[must_use]
    pub fn none(now: DateTime<FixedOffset>) -> Self {
        Self {
            now,
            frozen_min: 0,
            events: Vec::new(),
            measured: Measured::default(),
        }
    }
}

/// What became of a work item of the published plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "happened", rename_all = "snake_case", deny_unknown_fields)]
pub enum Event {
    /// It was started.
    Started {
        /// The work item.
        item: WorkId,
        /// When.
        #[schema(value_type = String, format = DateTime)]
        #[serde(deserialize_with = "crate::scenario::instants::instant")]
        at: DateTime<FixedOffset>,
    },
    /// It is over: a pot is empty, kegs are full, ready, clean or back.
    Finished {
        /// The work item.
        item: WorkId,
        /// When.
        #[schema(value_type = String, format = DateTime)]
        #[serde(deserialize_with = "crate::scenario::instants::instant")]
        at: DateTime<FixedOffset>,
    },
    /// It is late: whatever of it is still to come comes that much later. Where it is not told to
    /// have started, it starts that much later.
    Late {
        /// The work item.
        item: WorkId,
        /// Minutes later than published.
        #[schema(minimum = 1, maximum = 20160, example = 40)]
        minutes: u32,
    },
    /// It failed. A boil's water is lost; kegs being filled, gassed or tapped lose what is in them
    /// and must be washed; kegs being washed stay dirty; ordered ice does not come.
    Failed {
        /// The work item.
        item: WorkId,
        /// When.
        #[schema(value_type = String, format = DateTime)]
        #[serde(deserialize_with = "crate::scenario::instants::instant")]
        at: DateTime<FixedOffset>,
        /// Until when the pot of a boil is out of use; none if it may be used again at once.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(value_type = Option<String>, format = DateTime)]
        #[serde(deserialize_with = "crate::scenario::instants::instant_if_any")]
        out_until: Option<DateTime<FixedOffset>>,
    },
    /// It was not done and will not be done as published; the plan may put it anywhere.
    Skipped {
        /// The work item.
        item: WorkId,
    },
}

impl Event {
    /// The work item it is about.
    #[must_use]
    pub fn item(&self) -> &WorkId {
        match self {
            Self::Started { item, .. }
            | Self::Finished { item, .. }
            | Self::Late { item, .. }
            | Self::Failed { item, .. }
            | Self::Skipped { item } => item,
        }
    }

    /// When it happened, where that is told.
    pub(super) fn at(&self) -> Option<DateTime<FixedOffset>> {
        match self {
            Self::Started { at, .. } | Self::Finished { at, .. } | Self::Failed { at, .. } => {
                Some(*at)
            }
            Self::Late { .. } | Self::Skipped { .. } => None,
        }
    }
}

/// Stock that was measured or counted; what is not named here is as the events left it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Ice in the bin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ice_kg: Option<StockMass>,
    /// CO2 in all cylinders together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub co2_kg: Option<StockMass>,
    /// Empty kegs; keg types that are not named stay as they are.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 20)]
    pub empty: Vec<EmptyKegs>,
    /// Every keg filled and not gassed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub filled: Option<Vec<FilledKegs>>,
    /// Every keg ready for service.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ready: Option<Vec<ReadyKegs>>,
    /// Every keg on tap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_tap: Option<Vec<TappedKegs>>,
    /// Materials; those that are not named stay as they are.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 200)]
    pub materials: Vec<MaterialStock>,
}
