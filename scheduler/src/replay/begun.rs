//! Work that had begun before the plan: what it takes and brings, in minutes of the horizon.

use chrono::{DateTime, FixedOffset};

use super::walk::Walk;
use crate::scenario::{CircuitId, GasStationId, KegTypeId, PotId, ProductId, StoreId, UnderWay};

fn under_way<'a>(walk: &Walk<'a>) -> &'a UnderWay {
    &walk.scenario.stock.under_way
}

fn minute(walk: &Walk<'_>, at: DateTime<FixedOffset>) -> usize {
    usize::try_from(walk.minute(at.to_utc())).unwrap_or(0)
}

/// Until when a pot is taken or out of use; none where it is free.
pub(super) fn pot_until(walk: &Walk<'_>, id: &PotId) -> Option<usize> {
    let boils = under_way(walk).boils.iter().map(|b| (&b.pot, b.until));
    let out = under_way(walk).out_of_use.iter().map(|p| (&p.pot, p.until));
    let taken = boils.chain(out).filter(|(pot, _)| *pot == id);
    taken.map(|(_, until)| minute(walk, until)).max()
}

/// Pots of a circuit that heat at the start: until when, and their power.
pub(super) fn heating(walk: &Walk<'_>, id: &CircuitId) -> Vec<(usize, f64)> {
    let pots = &walk.scenario.setup.pots;
    let boils = under_way(walk).boils.iter();
    boils
        .filter_map(|boil| {
            let pot = pots.iter().find(|pot| pot.id == boil.pot)?;
            let here = pot.circuit.as_ref() == Some(id);
            let until = minute(walk, boil.chill_at.filter(|_| here)?);
            Some((until, pot.power_w.watts()))
        })
        .collect()
}

/// Kegs coupled to a station at the start.
pub(super) fn coupled(walk: &Walk<'_>, id: &GasStationId) -> f64 {
    uncoupled(walk, id).map(|(_, kegs)| kegs).sum()
}

/// When they are uncoupled.
pub(super) fn uncoupled<'a>(
    walk: &'a Walk<'_>,
    id: &'a GasStationId,
) -> impl Iterator<Item = (usize, f64)> + 'a {
    let gassing = under_way(walk).gassing.iter();
    gassing
        .filter(move |g| g.station == *id)
        .map(|g| (minute(walk, g.ready_at), f64::from(g.kegs)))
}

/// Kegs of a product that become ready in a store.
pub(super) fn gassed(
    walk: &Walk<'_>,
    kind: (&ProductId, &KegTypeId, &StoreId),
) -> Vec<(usize, u32)> {
    let gassing = under_way(walk).gassing.iter();
    gassing
        .filter(|g| (&g.product, &g.keg_type, &g.store) == kind)
        .map(|g| (minute(walk, g.ready_at), u32::from(g.kegs)))
        .collect()
}

/// Kegs that become clean.
pub(super) fn washed(walk: &Walk<'_>, keg: &KegTypeId) -> Vec<(usize, f64)> {
    let washing = under_way(walk).washing.iter();
    washing
        .filter(|w| w.keg_type == *keg)
        .map(|w| (minute(walk, w.until), f64::from(w.kegs)))
        .collect()
}

/// Kegs of any type in the wash, and until when.
pub(super) fn in_the_wash(walk: &Walk<'_>) -> Vec<(usize, f64)> {
    let washing = under_way(walk).washing.iter();
    washing
        .map(|w| (minute(walk, w.until), f64::from(w.kegs)))
        .collect()
}

/// Emptied kegs at the bar: when they may come back, and how many.
pub(super) fn at_bar(walk: &Walk<'_>, product: &ProductId, keg: &KegTypeId) -> Vec<(i64, u32)> {
    let at_bar = under_way(walk).at_bar.iter();
    at_bar
        .filter(|k| k.product == *product && k.keg_type == *keg)
        .map(|k| (walk.minute(k.back_from.to_utc()), u32::from(k.kegs)))
        .collect()
}

/// Hands needed: minute, minutes for each, and how many.
pub(super) fn hands(walk: &Walk<'_>) -> Vec<(usize, f64, u32)> {
    let setup = &walk.scenario.setup;
    let mut needs = Vec::new();
    for boil in &under_way(walk).boils {
        needs.push((0, boil.hands_min.minutes(), 1));
        if let Some(at) = boil.chill_at {
            needs.push((minute(walk, at), setup.crew.chill_min.minutes(), 1));
        }
    }
    for gas in &under_way(walk).gassing {
        let kegs = u32::from(gas.kegs);
        needs.push((0, gas.hands_min.minutes(), kegs));
        let station = setup.gas_stations.iter().find(|s| s.id == gas.station);
        let last = station.map_or(0.0, |s| s.uncouple_min.minutes());
        needs.push((minute(walk, gas.ready_at), last, kegs));
    }
    for wash in &under_way(walk).washing {
        needs.push((0, wash.hands_min.minutes(), u32::from(wash.kegs)));
    }
    needs
}

/// Ice that boils under way take at a minute.
pub(super) fn ice(walk: &Walk<'_>, at: usize) -> f64 {
    let boils = under_way(walk).boils.iter();
    boils
        .filter(|b| b.chill_at.is_some_and(|chill| minute(walk, chill) == at))
        .map(|b| b.ice_kg.kilograms())
        .sum()
}

/// Ordered ice that arrives at a minute.
pub(super) fn ice_coming(walk: &Walk<'_>, at: usize) -> f64 {
    let coming = under_way(walk).ice_coming.iter();
    coming
        .filter(|ice| minute(walk, ice.at) == at)
        .map(|ice| ice.kg.kilograms())
        .sum()
}
