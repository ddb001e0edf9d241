//! Cooling: in each step a store carries away what its warm kegs give off.

use model::cooling::State;
use model::{Error, Temperature, TimeSpan};

use super::standing::Standing;
use super::violation::{Findings, Rule};
use super::walk::{Walk, container, surroundings};
use crate::scenario::{ColdStore, KegType};

/// A keg that gives off less than this counts as settled.
const SETTLED_W: f64 = 1.0;
/// Part by which a load may be over the cooling power.
const TOLERANCE: f64 = 0.01;
/// Steps computed at a time, until a keg is settled.
const STRETCH: usize = 48;

/// The most heat given off in each store, averaged over a step, and its warmest air.
pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) -> Vec<(f64, f64)> {
    let stores = walk.scenario.setup.cold_stores.iter();
    stores.map(|store| load(walk, store, found)).collect()
}

fn load(walk: &Walk<'_>, store: &ColdStore, found: &mut Findings) -> (f64, f64) {
    let (mut watts, air) = standing(walk, store).unwrap_or_else(|error| {
        found.add(Rule::Cooling, 0, None, error.to_string());
        (vec![0.0; walk.minutes.div_ceil(walk.grid)], 0.0)
    });
    let power = store.cooling_w.watts();
    // What stands there at the start is a fact, even where it is too much for the store.
    let allowed: Vec<f64> = watts.iter().map(|w| w.max(power)).collect();
    for fill in walk.items.fills.iter().filter(|f| f.store.id == store.id) {
        let curve = watts_by_step(walk, fill.keg, store, fill.at);
        if let Some(curve) = found.known(Rule::Cooling, fill.head.place(), curve) {
            let first = fill.head.start / walk.grid;
            add(&mut watts, first, &curve, fill.kegs);
        }
    }
    let mut over = false;
    for (step, (watts, allowed)) in watts.iter().zip(&allowed).enumerate() {
        let now = *watts > allowed * (1.0 + TOLERANCE) + 1e-6;
        if now && !over {
            let minute = step * walk.grid;
            let fill = walk
                .items
                .fills
                .iter()
                .rfind(|f| f.store.id == store.id && f.head.start <= minute);
            let text = format!("{watts:.0} W given off in {}; it cools {power} W", store.id);
            found.add(Rule::Cooling, minute, fill.map(|f| f.head.id), text);
        }
        over = now;
    }
    (watts.iter().copied().fold(0.0, f64::max), air)
}

/// Heat of the kegs that stand there filled at the start, and the warmest air.
///
/// While they are too much for the store they take all its power; after that they cool as others.
fn standing(walk: &Walk<'_>, store: &ColdStore) -> Result<(Vec<f64>, f64), Error> {
    let mut watts = vec![0.0; walk.minutes.div_ceil(walk.grid)];
    let kegs = Standing::of(walk, store)?;
    let first = kegs.warm_until / walk.grid;
    for busy in watts.iter_mut().take(first) {
        *busy = store.cooling_w.watts();
    }
    for (filled, from) in kegs.groups() {
        let types = &walk.scenario.setup.keg_types;
        if let Some(keg) = types.iter().find(|k| k.id == filled.keg_type) {
            let curve = watts_by_step(walk, keg, store, from)?;
            add(&mut watts, first, &curve, u32::from(filled.kegs));
        }
    }
    Ok((watts, kegs.warmest_air))
}

fn add(watts: &mut [f64], first: usize, curve: &[f64], kegs: u32) {
    for (sum, each) in watts.iter_mut().skip(first).zip(curve) {
        *sum += each * f64::from(kegs);
    }
}

/// Heat one keg gives off in each step after it is put into a store, until it is settled.
fn watts_by_step(
    walk: &Walk<'_>,
    keg: &KegType,
    store: &ColdStore,
    from: Temperature,
) -> Result<Vec<f64>, Error> {
    let (container, around) = (container(keg)?, surroundings(walk, store));
    let step = TimeSpan::from_minutes(walk.grid as f64)?;
    let mut watts = Vec::new();
    let mut start = from;
    // One more than is kept tells where the next stretch starts.
    let mut stretch = [State::BLANK; STRETCH + 1];
    while watts.len() < walk.minutes.div_ceil(walk.grid) {
        model::cooling::curve(&container, around, start, step, &mut stretch)?;
        for state in &stretch[..STRETCH] {
            if state.heat.watts() < SETTLED_W {
                return Ok(watts);
            }
            watts.push(state.heat.watts());
        }
        start = stretch[STRETCH].temperature;
    }
    Ok(watts)
}
