//! The replay: a plan is walked minute by minute before anyone sees it.
//!
//! A small simulator that shares no code with the program that made the plan. It reads the work
//! items as a person on the floor would, recomputes every level and temperature with `model`, and
//! refuses the plan if anything overflows, runs dry, or is gassed warm. Each file holds one rule
//! of the trade.
//!
//! Within one minute what comes (ice made, kegs washed, gassed or taken back) comes before what is
//! used; what is too old is discarded or poured away before kegs are tapped or poured for a service.

mod air;
mod begun;
mod blanket;
mod calendar;
mod chilling;
mod chlorine;
mod circuits;
mod co2;
mod connections;
mod cooling;
mod cylinders;
mod duties;
mod filling;
mod frame;
mod freshness;
mod hands;
mod heating;
mod ice;
mod items;
mod kegs;
mod level;
mod levels;
mod materials;
mod places;
mod pots;
mod pressure;
mod read;
mod reserve;
mod service;
mod standing;
mod sums;
mod tap;
mod temperature;
mod uptake;
mod violation;
mod waiting;
mod walk;
mod wash;
mod water;

#[cfg(test)]
mod tests;

pub use levels::{Gauge, Seen};
pub(crate) use service::AtBar;
pub use violation::{Rule, Violation};

use crate::check::Checked;
use crate::plan::Plan;
use crate::scenario::StoreId;
use violation::Findings;
use walk::Walk;

/// What the replay of a good plan saw.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// Minutes walked and found in order.
    pub minutes: u32,
    /// The least ice in the bin, in kilograms.
    pub least_ice_kg: f64,
    /// The least CO2 in all cylinders together, in kilograms.
    pub least_co2_kg: f64,
    /// The largest part of any step's hands that is needed, 1 being all of them.
    pub busiest_hands: f64,
    /// The warmest water gassed, in °C; none where nothing is gassed.
    pub warmest_gassed_c: Option<f64>,
    /// The fullest and hardest moment of each cold store.
    pub stores: Vec<StorePeak>,
}

/// The fullest and hardest moment of a cold store.
#[derive(Debug, Clone, PartialEq)]
pub struct StorePeak {
    /// The store.
    pub store: StoreId,
    /// The most places taken at once.
    pub places: f64,
    /// The most heat given off by warm kegs, averaged over a step, in watts.
    pub watts: f64,
    /// The warmest its air gets, in °C: above its temperature where kegs that stood there at the
    /// start were too much for it.
    pub air_c: f64,
}

/// Walks a plan minute by minute.
///
/// # Errors
/// Every [`Violation`] found, in order of time. A plan that names things its scenario does not
/// have cannot be walked; then only those are listed.
///
/// ```no_run
/// # use scheduler::plan::Plan;
/// # fn shown(scenario: &scheduler::check::Checked, plan: &Plan) {
/// match scheduler::replay::replay(scenario, plan) {
///     Ok(report) => println!("{} minutes in order", report.minutes),
///     Err(violations) => println!("refused: {}", violations[0]),
/// }
/// # }
/// ```
pub fn replay(scenario: &Checked, plan: &Plan) -> Result<Report, Vec<Violation>> {
    let mut found = Findings::new(scenario);
    frame::check(scenario, plan, &mut found);
    let items = read::items(scenario, plan, &mut found);
    let walk = match Walk::new(scenario, plan, items) {
        Ok(walk) if found.is_empty() => walk,
        Ok(_) => return Err(found.in_order()),
        Err(error) => {
            found.add(Rule::Frame, 0, None, error.to_string());
            return Err(found.in_order());
        }
    };
    for rule in [
        pots::check,
        circuits::check,
        calendar::check,
        heating::check,
        chilling::check,
        chlorine::check,
        water::check,
        filling::check,
        materials::check,
        kegs::check,
        wash::check,
        connections::check,
        pressure::check,
        blanket::check,
        uptake::check,
        freshness::check,
        service::check,
        reserve::check,
        sums::check,
    ] {
        rule(&walk, &mut found);
    }
    let report = Report {
        minutes: u32::try_from(walk.minutes).unwrap_or(u32::MAX),
        least_ice_kg: ice::check(&walk, &mut found),
        least_co2_kg: co2::check(&walk, &mut found),
        busiest_hands: hands::check(&walk, &mut found),
        warmest_gassed_c: temperature::check(&walk, &mut found),
        stores: store_peaks(&walk, &mut found),
    };
    if found.is_empty() {
        Ok(report)
    } else {
        Err(found.in_order())
    }
}

/// What stands at the bar just before a minute of the plan, as the walk sees it; what is wrong with
/// the plan does not matter here.
pub(crate) fn at_bar(scenario: &Checked, plan: &Plan, minute: i64) -> Vec<AtBar> {
    let mut found = Findings::new(scenario);
    let items = read::items(scenario, plan, &mut found);
    Walk::new(scenario, plan, items).map_or_else(
        |_| Vec::new(),
        |walk| service::just_before(&walk, minute, &mut found),
    )
}

/// The levels of a plan that was found in order, as the walk sees them: one figure for each step,
/// after what happens at its first minute. Ice, places, connections, clean kegs and hands are
/// followed. Nothing for a plan that cannot be walked.
///
/// ```no_run
/// # use scheduler::plan::Plan;
/// # fn shown(scenario: &scheduler::check::Checked, plan: &Plan) {
/// for seen in scheduler::replay::levels(scenario, plan) {
///     println!("{:?}: {:?} of {:?}", seen.gauge, seen.levels.first(), seen.limits.first());
/// }
/// # }
/// ```
#[must_use]
pub fn levels(scenario: &Checked, plan: &Plan) -> Vec<Seen> {
    let mut found = Findings::watching(scenario);
    let items = read::items(scenario, plan, &mut found);
    let Ok(walk) = Walk::new(scenario, plan, items) else {
        return Vec::new();
    };
    ice::check(&walk, &mut found);
    places::check(&walk, &mut found);
    connections::check(&walk, &mut found);
    kegs::check(&walk, &mut found);
    hands::check(&walk, &mut found);
    found.seen()
}

fn store_peaks(walk: &Walk<'_>, found: &mut Findings) -> Vec<StorePeak> {
    let places = places::check(walk, found);
    let watts = cooling::check(walk, found);
    let stores = walk.scenario.setup.cold_stores.iter();
    stores
        .zip(places.into_iter().zip(watts))
        .map(|(store, (places, (watts, air_c)))| StorePeak {
            store: store.id.clone(),
            places,
            watts,
            air_c,
        })
        .collect()
}
