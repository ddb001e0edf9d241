//! Calibration: what the site's own readings say about numbers in its setup.
//!
//! Each batch of work with enough readings is fitted by itself, with the number in use as the theory
//! that readings must outweigh; batches are then put together, each weighted by how sure it is.
//! Nothing is changed until a person accepts it.

mod batches;
mod stores;

use std::collections::BTreeMap;

use model::{AirSpeed, Conductance, MassTransfer};
use scheduler::scenario::quantities::Efficiency;
use scheduler::scenario::{Chill, GasMethod, PotId, Site};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::setup::SetupDocument;
use super::words::{Note, Who};
use super::{Refusal, Revision};

pub(crate) use batches::Batch;

/// A number of the setup, and what the site's readings say it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct FittedParameter {
    /// Names the number: where it stands in the setup.
    #[schema(example = "pots/large-pot/efficiency")]
    pub(crate) parameter: String,
    /// Its unit; none for a part of one.
    #[schema(example = "W/K")]
    pub(crate) unit: String,
    /// What the setup says.
    #[schema(example = 0.85)]
    pub(crate) in_use: f64,
    /// What the readings say.
    #[schema(example = 0.79)]
    pub(crate) fitted: f64,
    /// Its standard deviation, in the same unit.
    #[schema(minimum = 0, example = 0.02)]
    pub(crate) spread: f64,
    /// Readings it rests on.
    #[schema(minimum = 1, example = 12)]
    pub(crate) readings: usize,
    /// Work items whose readings were used.
    #[schema(minimum = 1, example = 3)]
    pub(crate) batches: usize,
    /// What the readings varied, with its unit; outside of it the fit says nothing.
    #[schema(example = "temperature above the room, K")]
    pub(crate) over: String,
    /// Lowest value of that.
    #[schema(example = 4.0)]
    pub(crate) lowest: f64,
    /// Highest value of that.
    #[schema(example = 71.0)]
    pub(crate) highest: f64,
    /// Whether the setup may hold the fitted number.
    pub(crate) allowed: bool,
}

/// What a site's readings say about numbers in its setup.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Calibration {
    /// The revision of the setup the numbers in use are from.
    pub(crate) setup_revision: Revision,
    /// The numbers about which there are enough readings.
    pub(crate) parameters: Vec<FittedParameter>,
}

/// Which fitted numbers a person accepts.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CalibrationAcceptance {
    /// The numbers, as they are named where they are listed.
    #[schema(min_items = 1, max_items = 100, example = json!(["pots/large-pot/efficiency"]))]
    pub(crate) parameters: Vec<String>,
    /// Who accepts them.
    pub(crate) by: Who,
    /// Why.
    #[serde(default)]
    pub(crate) note: Option<Note>,
}

/// One fit of one batch.
#[derive(Debug, Clone, PartialEq)]
struct Fit {
    parameter: String,
    unit: &'static str,
    in_use: f64,
    value: f64,
    spread: f64,
    readings: usize,
    over: &'static str,
    lowest: f64,
    highest: f64,
}

/// What the readings say, by the name of the number.
pub(crate) fn fitted(
    site: &Site,
    setup: &SetupDocument,
    batches: &[Batch],
) -> Vec<FittedParameter> {
    let mut by_name: BTreeMap<String, Vec<Fit>> = BTreeMap::new();
    for batch in batches {
        for fit in batches::fits(site, &setup.setup, batch) {
            by_name.entry(fit.parameter.clone()).or_default().push(fit);
        }
    }
    let together = by_name.into_values().filter_map(|fits| together(&fits));
    together
        .map(|mut found| {
            let mut tried = setup.clone();
            found.allowed = put(&mut tried, &found.parameter, found.fitted).is_ok();
            found
        })
        .collect()
}

/// Batches put together, each weighted by how sure it is.
fn together(fits: &[Fit]) -> Option<FittedParameter> {
    let first = fits.first()?;
    // A spread of nothing would outweigh everything: no batch is surer than a part in a thousand.
    let weight = |fit: &Fit| {
        let least = fit.value.abs() * 1e-3;
        1.0 / fit.spread.max(least).max(f64::MIN_POSITIVE).powi(2)
    };
    let sum: f64 = fits.iter().map(weight).sum();
    let mean = fits.iter().map(|fit| weight(fit) * fit.value).sum::<f64>() / sum;
    // Where batches disagree by more than their spreads say, the disagreement counts.
    let misfit: f64 = fits
        .iter()
        .map(|fit| weight(fit) * (fit.value - mean).powi(2))
        .sum();
    let degrees = (fits.len() - 1).max(1) as f64;
    let spread = (1.0 / sum).sqrt() * (misfit / degrees).max(1.0).sqrt();
    Some(FittedParameter {
        parameter: first.parameter.clone(),
        unit: first.unit.to_owned(),
        in_use: first.in_use,
        fitted: rounded(mean),
        spread: rounded(spread),
        readings: fits.iter().map(|fit| fit.readings).sum(),
        batches: fits.len(),
        over: first.over.to_owned(),
        lowest: fits
            .iter()
            .map(|fit| fit.lowest)
            .fold(f64::INFINITY, f64::min),
        highest: fits
            .iter()
            .map(|fit| fit.highest)
            .fold(f64::NEG_INFINITY, f64::max),
        allowed: false,
    })
}

/// Four digits: more are not known.
fn rounded(value: f64) -> f64 {
    if value.abs() <= 0.0 || !value.is_finite() {
        return value;
    }
    let digits = 3 - value.abs().log10().floor() as i32;
    let size = 10_f64.powi(digits);
    (value * size).round() / size
}

/// Puts a number into a setup.
pub(crate) fn put(setup: &mut SetupDocument, parameter: &str, value: f64) -> Result<(), Refusal> {
    let wrong = |what: String| Refusal::field("parameters", what);
    let unknown = || wrong(format!("there is no number \"{parameter}\" to be fitted"));
    let parts: Vec<&str> = parameter.split('/').collect();
    let setup = &mut setup.setup;
    match parts.as_slice() {
        ["pots", id, "efficiency"] => {
            let pot = setup.pots.iter_mut().find(|pot| pot.id.as_str() == *id);
            let value = Efficiency::new(value).map_err(|e| wrong(format!("{parameter}: {e}")))?;
            pot.ok_or_else(unknown)?.efficiency = value;
        }
        ["routes", id, "conductance"] => {
            let route = setup
                .routes
                .iter_mut()
                .find(|route| route.id.as_str() == *id);
            let Chill::IceBath {
                conductance_w_per_k,
                ..
            } = &mut route.ok_or_else(unknown)?.chill
            else {
                return Err(unknown());
            };
            *conductance_w_per_k =
                Conductance::new(value).map_err(|e| wrong(format!("{parameter}: {e}")))?;
        }
        ["cold_stores", id, "air_speed"] => {
            let mut stores = setup.cold_stores.iter_mut();
            let store = stores.find(|store| store.id.as_str() == *id);
            let value = AirSpeed::new(value).map_err(|e| wrong(format!("{parameter}: {e}")))?;
            store.ok_or_else(unknown)?.air_speed_m_per_s = value;
        }
        ["gas_stations", id, "uptake"] => {
            let mut stations = setup.gas_stations.iter_mut();
            let station = stations.find(|station| station.id.as_str() == *id);
            let GasMethod::Shaken { kla_per_s } = &mut station.ok_or_else(unknown)?.method else {
                return Err(unknown());
            };
            *kla_per_s =
                MassTransfer::new(value).map_err(|e| wrong(format!("{parameter}: {e}")))?;
        }
        _ => return Err(unknown()),
    }
    Ok(())
}

fn pot_parameter(pot: &PotId) -> String {
    format!("pots/{pot}/efficiency")
}

#[cfg(test)]
mod tests;
