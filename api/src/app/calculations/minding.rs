//! Cautions that several calculations share.

use model::inputs::VesselRating;
use model::limits::{self, HOT_FROM, HOT_WATER, UNDER_PRESSURE};
use model::{GaugePressure, SugarContent, Temperature};

use super::notes::CautionNote;
use super::refused::Refused;

/// A vessel under pressure: the verdict on its rating, or where none is given a reminder of it.
pub(super) fn pressure(rating: Option<VesselRating>, held: GaugePressure) -> Vec<CautionNote> {
    let Some(rating) = rating else {
        return vec![UNDER_PRESSURE.into()];
    };
    let verdict = limits::vessel(rating.into(), held);
    if verdict.accepted {
        Vec::new()
    } else {
        vec![verdict.into()]
    }
}

/// Water that scalds.
pub(super) fn hot(water: Temperature) -> Vec<CautionNote> {
    if water.celsius() >= HOT_FROM {
        vec![HOT_WATER.into()]
    } else {
        Vec::new()
    }
}

/// Air or a drink cold enough to freeze the drink.
pub(super) fn cold(air: Temperature, sugar: SugarContent) -> Result<Vec<CautionNote>, Refused> {
    let verdict = limits::freezing(air, sugar)?;
    Ok(if verdict.accepted {
        Vec::new()
    } else {
        vec![verdict.into()]
    })
}
