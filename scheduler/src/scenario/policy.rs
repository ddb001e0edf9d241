//! How a site wants its soda made, and what counts for how much.

use model::dechlorination::Agent;
use model::{GaugePressure, Temperature};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::quantities::{FallHeight, Hours, Price, Share, StepMinutes};

/// How a site wants its soda made, and what counts for how much.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Policy {
    /// Warmest water that may be gassed.
    pub gas_at_c: Temperature,
    /// How warm kegs on tap get; they stay as cold as the store they came from where nothing is
    /// said. A warmer keg takes a higher pressure to keep its CO2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tap_c: Option<Temperature>,
    /// Height from which water falls into a keg that is filled, and takes up air on its way. Where
    /// nothing is said it runs through a hose that reaches the bottom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fall_m: Option<FallHeight>,
    /// Pressure of CO2 that filled kegs are kept under until they are gassed: purged as soon as the
    /// lid is on, and left coupled. Where nothing is said they stand under air until then, and
    /// their water takes up air again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blanket_bar: Option<GaugePressure>,
    /// Minutes of hands to purge a keg that was filled and to couple it; 2 where nothing is said
    /// (common practice, no source).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blanket_min: Option<StepMinutes>,
    /// Purges of the headspace before gassing.
    #[schema(maximum = 20, example = 3)]
    pub purges: u8,
    /// Pressure each purge is brought to before it is vented.
    pub purge_bar: GaugePressure,
    /// What removes the chlorine.
    #[schema(inline)]
    pub agent: Agent,
    /// Agent over the exact dose.
    pub agent_margin: Share,
    /// Part of a keg lost to foam and lines.
    pub serving_loss: Share,
    /// How long a service lasts; a keg emptied at it comes back dirty after that.
    pub service_h: Hours,
    /// What a litre that is not served costs, at the usual priority.
    pub short_per_l: Price,
    /// The longest time from the end of heating until the water is in kegs, chilling included:
    /// standing water takes up air again. Where nothing is said it may stand for as long as one
    /// person needs to fill it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_stands_min: Option<StepMinutes>,
}

impl Policy {
    /// Usual settings; each is common practice with no source, to be changed by the site.
    #[must_use]
    pub fn usual() -> Self {
        Self {
            gas_at_c: Temperature::of(4.0),
            tap_c: None,
            fall_m: None,
            blanket_bar: None,
            blanket_min: None,
            purges: 3,
            purge_bar: GaugePressure::of(2.0),
            agent: Agent::SodiumAscorbate,
            agent_margin: Share::of(0.1),
            serving_loss: Share::of(0.03),
            service_h: Hours::of(6.0),
            short_per_l: Price::of(20.0),
            water_stands_min: None,
        }
    }
}
