//! How CO2 gets into the drink with time: still, shaken, through a stone.

pub(super) mod shaken;
pub(super) mod sparged;
pub(super) mod still;
pub(super) mod target;

use model::{
    AbsolutePressure, Carbonation, GaugePressure, SugarContent, Temperature, TimeSpan, carbonation,
};
use serde::Serialize;
use utoipa::ToSchema;

use super::refused::Refused;
use super::series::{POINTS, instants};
use super::values::{CarbonationValue, Shown, TimeValue};

/// CO2 at a time.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct UptakePoint {
    /// Time since the start.
    time: TimeValue,
    /// CO2 dissolved.
    carbonation: CarbonationValue,
}

impl UptakePoint {
    pub(super) fn new(time: TimeSpan, content: Carbonation) -> Self {
        Self {
            time: Shown::of(time),
            carbonation: Shown::of(content),
        }
    }
}

/// CO2 at evenly spaced times.
pub(super) fn curve(
    end: TimeSpan,
    after: impl Fn(TimeSpan) -> Result<Carbonation, model::Error>,
) -> Result<Vec<UptakePoint>, Refused> {
    let points = instants(end, POINTS)?.map(|time| Ok(UptakePoint::new(time, after(time)?)));
    points.collect()
}

/// What a drink tends to under gas without air.
fn tends_to(
    at: Temperature,
    held: GaugePressure,
    site: AbsolutePressure,
    sugar: SugarContent,
) -> Result<Carbonation, Refused> {
    let total = held.absolute(site)?;
    Ok(carbonation::dissolved(
        at,
        total,
        AbsolutePressure::VACUUM,
        sugar,
    )?)
}
