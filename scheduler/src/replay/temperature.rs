//! Temperature: a keg is gassed only when it is cold, and the plan says truly when that is.
//!
//! A keg may be the last to be filled in its step, so it cools from the end of that step.

use model::{Error, Temperature, TimeSpan};

use super::items::{Fill, Gas, Origin};
use super::standing::Standing;
use super::violation::{Findings, Rule};
use super::walk::{Walk, container, surroundings};
use crate::scenario::{ColdStore, FilledKegs, KegType};

/// Kelvins by which a keg may be warmer than it should.
const KELVIN: f64 = 0.05;

/// The warmest water gassed, in °C.
pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) -> Option<f64> {
    for fill in &walk.items.fills {
        let then = after_fill(walk, fill, fill.cold_at);
        if let Some(then) = found.known(Rule::Temperature, fill.head.place(), then) {
            let wanted = walk.scenario.policy.gas_at_c;
            found.require(
                cold(walk, then),
                Rule::Temperature,
                fill.head.place(),
                || {
                    let (at, c) = (walk.time(fill.cold_at), then.celsius());
                    format!("said to be cold at {at}; then it has {c:.1} °C, not {wanted}")
                },
            );
        }
    }
    let mut stock = match Stock::of(walk) {
        Ok(stock) => stock,
        Err(error) => {
            found.add(Rule::Temperature, 0, None, error.to_string());
            return None;
        }
    };
    let mut gassings: Vec<&Gas<'_>> = walk.items.gassings.iter().collect();
    gassings.sort_by_key(|g| g.head.start);
    let mut warmest: Option<f64> = None;
    for gas in gassings {
        let place = gas.head.place();
        let Some(then) = found.known(Rule::Temperature, place, warmest_of(walk, gas, &mut stock))
        else {
            continue;
        };
        found.require(cold(walk, then), Rule::Temperature, place, || {
            let wanted = walk.scenario.policy.gas_at_c;
            format!(
                "gassed at {:.1} °C; at most {wanted} is allowed",
                then.celsius()
            )
        });
        warmest = Some(warmest.map_or(then.celsius(), |w| w.max(then.celsius())));
    }
    warmest
}

fn cold(walk: &Walk<'_>, at: Temperature) -> bool {
    (at - walk.scenario.policy.gas_at_c).kelvins() <= KELVIN
}

/// The warmest of an item's kegs when its gassing starts.
fn warmest_of(walk: &Walk<'_>, gas: &Gas<'_>, stock: &mut Stock<'_>) -> Result<Temperature, Error> {
    let mut warmest = Temperature::new(Temperature::MIN)?;
    for (origin, kegs) in &gas.from {
        let then = match origin {
            Origin::Made(n) => after_fill(walk, &walk.items.fills[*n], gas.head.start)?,
            Origin::Stock => match stock.take(gas, *kegs) {
                Some(filled) => stock.at(filled, gas)?,
                None => continue,
            },
        };
        if then > warmest {
            warmest = then;
        }
    }
    Ok(warmest)
}

fn after_fill(walk: &Walk<'_>, fill: &Fill<'_>, minute: usize) -> Result<Temperature, Error> {
    let full = fill.head.start + walk.grid;
    after(
        walk,
        fill.keg,
        fill.store,
        fill.at,
        minute.saturating_sub(full),
    )
}

/// Temperature of a keg after some minutes in a store.
fn after(
    walk: &Walk<'_>,
    keg: &KegType,
    store: &ColdStore,
    from: Temperature,
    minutes: usize,
) -> Result<Temperature, Error> {
    let time = TimeSpan::from_minutes(minutes as f64)?;
    let state = model::cooling::after(&container(keg)?, surroundings(walk, store), from, time)?;
    Ok(state.temperature)
}

/// Kegs that stood filled at the start and are not gassed yet; the coldest are gassed first.
struct Stock<'a> {
    kegs: Vec<(&'a FilledKegs, u32)>,
    /// How they cool, by store.
    stores: Vec<(&'a ColdStore, Standing<'a>)>,
}

impl<'a> Stock<'a> {
    fn of(walk: &Walk<'a>) -> Result<Self, Error> {
        let filled = walk.scenario.stock.filled.iter();
        let mut kegs: Vec<_> = filled.map(|f| (f, u32::from(f.kegs))).collect();
        kegs.sort_by(|a, b| {
            a.0.temperature_c
                .celsius()
                .total_cmp(&b.0.temperature_c.celsius())
        });
        let stores = walk.scenario.setup.cold_stores.iter();
        let stores = stores.map(|store| Ok((store, Standing::of(walk, store)?)));
        Ok(Self {
            kegs,
            stores: stores.collect::<Result<_, Error>>()?,
        })
    }

    /// Takes kegs for a gassing; the group of the warmest.
    fn take(&mut self, gas: &Gas<'_>, kegs: u32) -> Option<&'a FilledKegs> {
        let mut left = kegs;
        let mut warmest = None;
        for (stock, there) in &mut self.kegs {
            if stock.keg_type == gas.keg.id && stock.store == gas.store.id && *there > 0 && left > 0
            {
                let taken = left.min(*there);
                *there -= taken;
                left -= taken;
                warmest = Some(*stock);
            }
        }
        warmest
    }

    /// Temperature of kegs when a gassing starts.
    fn at(&self, filled: &FilledKegs, gas: &Gas<'_>) -> Result<Temperature, Error> {
        let mut stores = self.stores.iter();
        match stores.find(|(store, _)| store.id == filled.store) {
            Some((_, standing)) => standing.at(filled, gas.head.start),
            None => Ok(filled.temperature_c),
        }
    }
}
