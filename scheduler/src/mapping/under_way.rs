//! Work that has begun before the plan starts: what it takes, and what it brings when it is over.

use chrono::{DateTime, Utc};

use super::{Builder, Perishable};
use crate::scenario::{
    CircuitId, ColdStore, GasStationId, KegType, KegTypeId, PotId, Product, RouteId, Scenario,
};
use crate::timeline::Timeline;

/// A change of a resource at a step.
type Change = (usize, f64);

/// Something taken from the start until an instant.
fn taken(timeline: &Timeline, until: DateTime<Utc>, amount: f64) -> [Change; 2] {
    [(0, -amount), (timeline.step_from(until), amount)]
}

/// Minutes of hands in each step, less what work under way needs of them.
pub(super) fn hands_left(
    scenario: &Scenario,
    timeline: &Timeline,
    mut hands: Vec<f64>,
) -> Vec<f64> {
    for (from, each, kegs) in hand_needs(scenario, timeline) {
        let mut left = each;
        for free in hands.iter_mut().skip(from) {
            if left <= 0.0 {
                break;
            }
            let now = left.min(timeline.step_minutes());
            *free = (*free - now * kegs).max(0.0);
            left -= now;
        }
    }
    hands
}

/// Step, minutes for each, and how many.
fn hand_needs(scenario: &Scenario, timeline: &Timeline) -> Vec<(usize, f64, f64)> {
    let (setup, under_way) = (&scenario.setup, &scenario.stock.under_way);
    let mut needs = Vec::new();
    for boil in &under_way.boils {
        needs.push((0, boil.hands_min.minutes(), 1.0));
        let chill = setup.crew.chill_min.minutes();
        let at = boil.chill_at.map(|at| timeline.step_from(at.to_utc()));
        needs.extend(at.map(|at| (at, chill, 1.0)));
    }
    for gas in &under_way.gassing {
        let kegs = f64::from(gas.kegs);
        needs.push((0, gas.hands_min.minutes(), kegs));
        let station = setup.gas_stations.iter().find(|s| s.id == gas.station);
        let last = station.map_or(0.0, |s| s.uncouple_min.minutes());
        needs.push((timeline.step_from(gas.ready_at.to_utc()), last, kegs));
    }
    for wash in &under_way.washing {
        needs.push((0, wash.hands_min.minutes(), f64::from(wash.kegs)));
    }
    needs
}

/// A pot that is taken or out of use.
pub(super) fn pot(scenario: &Scenario, timeline: &Timeline, id: &PotId) -> Vec<Change> {
    let under_way = &scenario.stock.under_way;
    let boils = under_way.boils.iter().map(|b| (&b.pot, b.until));
    let out = under_way.out_of_use.iter().map(|p| (&p.pot, p.until));
    boils
        .chain(out)
        .filter(|(pot, _)| *pot == id)
        .flat_map(|(_, until)| taken(timeline, until.to_utc(), 1.0))
        .collect()
}

/// Pots of a circuit that heat at the start: the step until which they do, and their power.
pub(super) fn heating(scenario: &Scenario, timeline: &Timeline, id: &CircuitId) -> Vec<Change> {
    let boils = scenario.stock.under_way.boils.iter();
    let heating = boils.filter_map(|boil| Some((boil, boil.chill_at?)));
    heating
        .filter_map(|(boil, until)| {
            let mut pots = scenario.setup.pots.iter();
            let pot = pots.find(|pot| pot.id == boil.pot && pot.circuit.as_ref() == Some(id))?;
            Some((timeline.step_from(until.to_utc()), pot.power_w.watts()))
        })
        .collect()
}

/// Water of boils under way, to be filled in time.
pub(super) fn water(builder: &mut Builder<'_>, route: &RouteId, water: Perishable) {
    let timeline = builder.timeline;
    for boil in &builder.scenario.stock.under_way.boils {
        if boil.route != *route {
            continue;
        }
        let litres = boil.litres.litres();
        let (from, until) = window(timeline, boil.fill_from.to_utc(), boil.until.to_utc());
        builder.net.resource_mut(water.level).supply(from, litres);
        builder
            .net
            .resource_mut(water.account)
            .supply(until - 1, -litres);
    }
}

/// First step in which water may be filled, and the first in which it may not any more.
pub(crate) fn window(
    timeline: &Timeline,
    from: DateTime<Utc>,
    until: DateTime<Utc>,
) -> (usize, usize) {
    let from = timeline.step_from(from);
    (from, timeline.step_from(until).max(from + 1))
}

/// Ice that boils under way take when they are chilled.
pub(super) fn ice(scenario: &Scenario, timeline: &Timeline) -> Vec<Change> {
    let boils = scenario.stock.under_way.boils.iter();
    boils
        .filter_map(|b| {
            Some((
                timeline.step_from(b.chill_at?.to_utc()),
                b.ice_kg.kilograms(),
            ))
        })
        .collect()
}

/// Ice that was ordered and arrives at a step.
pub(super) fn ice_coming(scenario: &Scenario, timeline: &Timeline, step: usize) -> f64 {
    let coming = scenario.stock.under_way.ice_coming.iter();
    coming
        .filter(|ice| timeline.step_from(ice.at.to_utc()) == step)
        .map(|ice| ice.kg.kilograms())
        .sum()
}

/// Connections that are taken.
pub(super) fn connections(
    scenario: &Scenario,
    timeline: &Timeline,
    id: &GasStationId,
) -> Vec<Change> {
    let gassing = scenario.stock.under_way.gassing.iter();
    gassing
        .filter(|g| g.station == *id)
        .flat_map(|g| taken(timeline, g.ready_at.to_utc(), f64::from(g.kegs)))
        .collect()
}

/// Kegs that become ready: when, and how many.
pub(super) fn gassing(
    scenario: &Scenario,
    timeline: &Timeline,
    (product, keg, store): (&Product, &KegType, &ColdStore),
) -> Vec<(DateTime<Utc>, f64)> {
    let kind = (&product.id, &keg.id, &store.id);
    let gassing = scenario.stock.under_way.gassing.iter();
    gassing
        .filter(|g| (&g.product, &g.keg_type, &g.store) == kind)
        .map(|g| {
            let step = timeline.step_from(g.ready_at.to_utc());
            (timeline.at(step), f64::from(g.kegs))
        })
        .collect()
}

/// Kegs that become clean.
pub(super) fn washed(scenario: &Scenario, timeline: &Timeline, keg: &KegTypeId) -> Vec<Change> {
    let washing = scenario.stock.under_way.washing.iter();
    washing
        .filter(|w| w.keg_type == *keg)
        .map(|w| (timeline.step_from(w.until.to_utc()), f64::from(w.kegs)))
        .collect()
}

/// Washing stations that are taken.
pub(super) fn stations(scenario: &Scenario, timeline: &Timeline) -> Vec<Change> {
    let washing = scenario.stock.under_way.washing.iter();
    washing
        .flat_map(|w| taken(timeline, w.until.to_utc(), f64::from(w.kegs)))
        .collect()
}

/// Emptied kegs that may come back.
pub(super) fn at_bar(
    scenario: &Scenario,
    timeline: &Timeline,
    (product, keg): (&Product, &KegType),
) -> Vec<Change> {
    let at_bar = scenario.stock.under_way.at_bar.iter();
    at_bar
        .filter(|k| k.product == product.id && k.keg_type == keg.id)
        .map(|k| (timeline.step_from(k.back_from.to_utc()), f64::from(k.kegs)))
        .collect()
}
