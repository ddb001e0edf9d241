//! Limits, which must be the same as published.

use model::limits;

use crate::row::{Outcome, Row};

pub(crate) fn computed(row: &Row) -> Option<Outcome> {
    limit(row)
        .map(|limit| Outcome::Number(limit.value))
        .or_else(|| rule(row))
}

fn limit(row: &Row) -> Option<limits::Limit> {
    Some(match row.quantity.as_str() {
        "OSHA_PEL_TWA_ppm" => limits::OSHA_EIGHT_HOURS,
        "ACGIH_TLV_TWA_ppm" => limits::ACGIH_EIGHT_HOURS,
        "NIOSH_REL_STEL_ppm" => limits::NIOSH_CEILING_15_MINUTES,
        "ACGIH_TLV_STEL_ppm" => limits::ACGIH_CEILING_15_MINUTES,
        "NIOSH_IDLH_ppm" => limits::IMMEDIATE_DANGER,
        "EPA_MRDL" => match row.text("agent") {
            "chlorine" => limits::CHLORINE,
            "chloramines" => limits::CHLORAMINES,
            "chlorine dioxide" => limits::CHLORINE_DIOXIDE,
            _ => return None,
        },
        "food_cold_holding_C" => limits::COLD_HOLDING,
        "food_cooling_stage1" => limits::COOLING_TO_21,
        "food_cooling_total" => limits::COOLING_TO_5,
        "food_cooling_ambient" => limits::COOLING_FROM_AMBIENT,
        "keg_max_working_pressure_psi" => limits::STEEL_KEG_RATING,
        "PET_bottle_max_fill_temperature_C" => limits::PET_HOTTEST_FILL,
        _ => return None,
    })
}

fn rule(row: &Row) -> Option<Outcome> {
    let rule = match row.quantity.as_str() {
        "OSHA_PEL_STEL" => limits::OSHA_SHORT_TERM,
        "ice_from_drinking_water" => limits::ICE_SOURCE,
        "ice_as_coolant_not_ingredient" => limits::COOLANT_ICE,
        "ice_as_cooling_method" => limits::ICE_AS_COOLING,
        "carbonator_backflow" => limits::BACKFLOW,
        "copper_limit" => limits::COPPER,
        _ => return None,
    };
    Some(Outcome::Text(rule.section))
}
