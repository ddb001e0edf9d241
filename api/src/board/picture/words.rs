//! The picture in words: the same content for those who do not look at it.

use scheduler::scenario::Scenario;

use super::axis::View;
use super::streams::{Hold, Lane};
use crate::text::names::Names;
use crate::text::units::Units;

/// One ribbon in words.
pub(in crate::board) struct RibbonText {
    pub(in crate::board) from: String,
    pub(in crate::board) to: String,
    pub(in crate::board) place: String,
    pub(in crate::board) what: String,
    pub(in crate::board) heat: String,
    pub(in crate::board) item: String,
}

/// What people call a lane.
pub(super) fn place(scenario: &Scenario, lane: &Lane) -> String {
    let setup = &scenario.setup;
    let named = |found: Option<&String>, id: &String| found.unwrap_or(id).clone();
    match lane {
        Lane::Pot(id) => {
            let mut pots = setup.pots.iter();
            named(pots.find(|p| p.id.as_str() == id).map(|p| &p.name), id)
        }
        Lane::Store(id) => {
            let mut stores = setup.cold_stores.iter();
            named(stores.find(|s| s.id.as_str() == id).map(|s| &s.name), id)
        }
        Lane::Station(id) => {
            let mut stations = setup.gas_stations.iter();
            named(stations.find(|s| s.id.as_str() == id).map(|s| &s.name), id)
        }
        Lane::Ready => "Ready, cold".to_owned(),
        Lane::Tap => "On tap".to_owned(),
    }
}

/// What a ribbon is: `3 kegs of tonic, 55.5 L`, or a pot's litres.
pub(super) fn what(names: &Names<'_>, hold: &Hold) -> String {
    let litres = names.litres(hold.litres);
    let of = match &hold.product {
        Some(product) => names.product(product).to_owned(),
        None => "water".to_owned(),
    };
    match hold.kegs {
        0 => format!("{litres} of {of}"),
        1 => format!("1 keg of {of}, {litres}"),
        kegs => format!("{kegs} kegs of {of}, {litres}"),
    }
}

/// How warm it is, at its warmest and at the end.
pub(super) fn heat(units: Units, hold: &Hold) -> String {
    let most = hold.heat.iter().map(|(_, c)| *c).fold(f64::MIN, f64::max);
    let last = hold.at(hold.to);
    if (most - last).abs() < 1.0 {
        units.degrees(last).to_string()
    } else {
        format!("{} to {}", units.degrees(most), units.degrees(last))
    }
}

/// The ribbons that are shown, in words, in order of time.
pub(super) fn told(
    scenario: &Scenario,
    holds: &[Hold],
    units: Units,
    view: &View,
) -> Vec<RibbonText> {
    let names = Names::of(scenario).reading(units);
    let mut shown: Vec<&Hold> = holds.iter().filter(|h| view.shows(h.from, h.to)).collect();
    shown.sort_by_key(|hold| (hold.from, hold.to));
    let row = |hold: &Hold| RibbonText {
        from: units.day_and_time(hold.from),
        to: units.time_after(hold.to, hold.from),
        place: place(scenario, &hold.lane),
        what: what(&names, hold),
        heat: heat(units, hold),
        item: hold
            .item
            .as_ref()
            .map_or_else(String::new, ToString::to_string),
    };
    shown.into_iter().map(row).collect()
}
