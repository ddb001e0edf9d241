//! Limits that must not be passed, as data with their sources, and verdicts.
//!
//! Food rules are those of the FDA Food Code as read in state adoptions; local
//! rules may differ and go first.

mod bottle;
mod cautions;
mod cooling;
mod exposure;
mod food;
mod freezing;
mod plumbing;
mod room;
mod sealed;
mod verdict;
mod vessel;

pub use bottle::{GLASS_JUMP, PET_HOTTEST_FILL, VesselMaterial, filling, glass_filling};
pub use cautions::{
    CAUTIONS, CYLINDER_GAUGE, GAS_RELEASE, HIGH_PRESSURE, HOT_FROM, HOT_SEALED, HOT_WATER,
    ICE_IN_WATER, LIMITS, RULES, STANDING_OPEN, UNDER_PRESSURE, WARM_KEG,
};
pub use cooling::{perishable_cooling, perishable_cooling_from};
pub use exposure::{
    ACGIH_CEILING_15_MINUTES, ACGIH_EIGHT_HOURS, IMMEDIATE_DANGER, NIOSH_CEILING_15_MINUTES,
    OSHA_EIGHT_HOURS, OSHA_SHORT_TERM,
};
pub use food::{
    CHLORAMINES, CHLORINE, CHLORINE_DIOXIDE, COLD_HOLDING, COOLANT_ICE, COOLING_FROM_AMBIENT,
    COOLING_TO_5, COOLING_TO_21, ICE_AS_COOLING, ICE_SOURCE, IceUse, food_ice,
};
pub use freezing::{cold_enough_to_freeze, freezing, freezing_point};
pub use plumbing::{
    BACKFLOW, BackflowDevice, CARBONATED_PH, COPPER, COPPER_ACIDITY, COPPER_LEAST_PH,
    WettedMaterial, WettedPlace, backflow, copper, soda_on_copper,
};
pub use room::{release, released, room_after_release};
pub use sealed::{SealedKeg, warm_pressure, warm_storage};
pub use verdict::{Caution, Evidence, Limit, Rule, RuleVerdict, Verdict};
pub use vessel::{BLOCK_SHARE, STEEL_KEG_RATING, vessel};
