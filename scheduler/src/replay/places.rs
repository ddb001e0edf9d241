//! Places: a keg holds its place in a cold store from filling until it is tapped or discarded.

use super::calendar;
use super::level::Level;
use super::levels::Gauge;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::{ColdStore, Equipment, KegTypeId};

/// The most places taken in each store.
pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) -> Vec<f64> {
    let stores = walk.scenario.setup.cold_stores.iter();
    stores.map(|store| taken(walk, store, found)).collect()
}

fn taken(walk: &Walk<'_>, store: &ColdStore, found: &mut Findings) -> f64 {
    let stood = standing(walk, store);
    let mut level = Level::starting(stood, walk.minutes);
    for fill in walk.items.fills.iter().filter(|f| f.store.id == store.id) {
        let places = f64::from(fill.kegs) * fill.keg.places.places();
        level.change(fill.head.start, places, fill.head.id);
    }
    for tap in walk.items.taps.iter().filter(|t| t.store.id == store.id) {
        let places = f64::from(tap.kegs) * tap.keg.places.places();
        level.change(tap.head.start, -places, tap.head.id);
    }
    for gone in walk
        .items
        .discards
        .iter()
        .filter(|d| d.store.id == store.id)
    {
        let places = f64::from(gone.kegs) * gone.keg.places.places();
        level.change(gone.head.start, -places, gone.head.id);
    }
    let highest = level.highest();
    let gauge = Gauge::Places(store.id.clone());
    found.saw(gauge, f64::from(store.places), level.levels());
    // Kegs that stood there at the start keep their places.
    let free = (f64::from(store.places) - stood).max(0.0);
    let equipment = Equipment::Places {
        store: store.id.clone(),
    };
    level.lose(&calendar::lost(walk, &equipment, free));
    for over in level.above(f64::from(store.places) + 1e-6) {
        let text = format!(
            "{:.1} places taken or out of service in {}; it has {}",
            over.worst, store.id, store.places
        );
        found.add(Rule::Places, over.minute, over.item, text);
    }
    highest
}

/// Places of the kegs that stand there at the start.
fn standing(walk: &Walk<'_>, store: &ColdStore) -> f64 {
    let stock = &walk.scenario.stock;
    let places = |id: &KegTypeId, kegs: u16| {
        let keg = walk.scenario.setup.keg_types.iter().find(|k| k.id == *id);
        keg.map_or(0.0, |k| k.places.places()) * f64::from(kegs)
    };
    let filled = stock.filled.iter().filter(|f| f.store == store.id);
    let ready = stock.ready.iter().filter(|r| r.store == store.id);
    let gassing = stock.under_way.gassing.iter();
    let gassing = gassing.filter(|g| g.store == store.id);
    filled.map(|f| places(&f.keg_type, f.kegs)).sum::<f64>()
        + ready.map(|r| places(&r.keg_type, r.kegs)).sum::<f64>()
        + gassing.map(|g| places(&g.keg_type, g.kegs)).sum::<f64>()
}
