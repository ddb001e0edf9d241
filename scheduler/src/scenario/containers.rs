//! Kegs, and the stations where they are carbonated.

use model::{GaugePressure, MassTransfer, Temperature};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::quantities::{
    ContainerVolume, Hours, OuterLength, PlacesPerContainer, StepMinutes, VesselMass,
};
use super::{GasStationId, KegTypeId, StoreId};

/// What a container is made of; it decides how hot it may be filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ContainerMaterial {
    /// Stainless steel takes hot water.
    Steel,
    /// PET must be filled cool: it softens.
    Pet,
}

/// All kegs, or bottles in crates, of one size and make.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KegType {
    /// The keg type's own id.
    pub id: KegTypeId,
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "19 L steel keg")]
    pub name: String,
    /// What it is made of.
    pub material: ContainerMaterial,
    /// Inner volume up to the lid.
    pub brim_l: ContainerVolume,
    /// Liquid it is filled with; the rest is headspace.
    pub fill_l: ContainerVolume,
    /// Mass of the empty keg.
    pub empty_kg: VesselMass,
    /// Outer diameter.
    pub diameter_m: OuterLength,
    /// Outer height.
    pub height_m: OuterLength,
    /// Working pressure stamped on it.
    pub rating_bar: GaugePressure,
    /// Hottest water it may be filled with.
    pub hottest_fill_c: Temperature,
    /// Cold-store places one keg takes; for bottles in crates, a crate's places divided by its
    /// bottles. Part-filled crates are put together.
    pub places: PlacesPerContainer,
    /// Bottles in a crate. They are filled and put away by the full crate; gassed, tapped and
    /// washed one by one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 2, maximum = 60, example = 12)]
    pub per_crate: Option<u16>,
    /// Minutes of hands to fill one and put it away; the crew's usual minutes where nothing is
    /// said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill_min: Option<StepMinutes>,
}

impl KegType {
    /// How many are filled and put away together.
    #[must_use]
    pub fn filled_together(&self) -> u16 {
        self.per_crate.unwrap_or(1)
    }
}

/// A place where kegs are carbonated by one method.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GasStation {
    /// The station's own id.
    pub id: GasStationId,
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "Resting rack")]
    pub name: String,
    /// Kegs that can be coupled at once.
    #[schema(minimum = 1, maximum = 200, example = 6)]
    pub connections: u16,
    /// The keg types its couplings fit.
    #[schema(min_items = 1, max_items = 20)]
    pub keg_types: Vec<KegTypeId>,
    /// The cold stores whose kegs it reaches without warming them.
    #[schema(min_items = 1, max_items = 20)]
    pub stores: Vec<StoreId>,
    /// Minutes of hands per keg to dose, purge and couple it.
    pub couple_min: StepMinutes,
    /// Minutes of hands per keg to turn it down and vent it, or to uncouple it, at the end.
    pub uncouple_min: StepMinutes,
    /// How the CO2 gets into the water.
    pub method: GasMethod,
}

/// How the CO2 gets into the water.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum GasMethod {
    /// The keg rests under a pressure above its equilibrium for a set time, then is turned down.
    ///
    /// The planner works out the pressure that brings each product to its target in that time.
    Rest {
        /// Highest pressure the regulator may be set to.
        highest_bar: GaugePressure,
        /// How long kegs may rest; each is a length of time after which somebody is there to
        /// turn them down.
        #[schema(min_items = 1, max_items = 8)]
        hours: Vec<Hours>,
    },
    /// The keg is shaken or rolled by hand at its equilibrium pressure.
    Shaken {
        /// Volumetric mass-transfer coefficient while shaking.
        kla_per_s: MassTransfer,
    },
}
