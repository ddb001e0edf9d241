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
    let mut warmest: Option<f64> = None;
    for (gas, kegs) in walk.items.gassings.iter().zip(at_gassing(walk)) {
        let place = gas.head.place();
        let Some(kegs) = found.known(Rule::Temperature, place, kegs) else {
            continue;
        };
        let then = kegs.warmest;
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

/// How warm the kegs of a gassing are when it starts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Kegs {
    pub coldest: Temperature,
    pub warmest: Temperature,
}

/// The kegs of each gassing when it starts, in the order of the gassings.
pub(super) fn at_gassing(walk: &Walk<'_>) -> impl Iterator<Item = Result<Kegs, Error>> {
    walk.at_gassing
        .get_or_init(|| followed(walk))
        .iter()
        .copied()
}

fn followed(walk: &Walk<'_>) -> Vec<Result<Kegs, Error>> {
    let gassings = &walk.items.gassings;
    let mut stock = match Stock::of(walk) {
        Ok(stock) => stock,
        Err(error) => return gassings.iter().map(|_| Err(error)).collect(),
    };
    let mut order: Vec<usize> = (0..gassings.len()).collect();
    // Those of one minute take from stock in the order of their numbers.
    order.sort_by_key(|n| (gassings[*n].head.start, gassings[*n].head.id.number()));
    let mut all = vec![None; gassings.len()];
    for n in order {
        all[n] = Some(kegs_of(walk, &gassings[n], &mut stock));
    }
    all.into_iter().flatten().collect()
}

fn cold(walk: &Walk<'_>, at: Temperature) -> bool {
    (at - walk.scenario.policy.gas_at_c).kelvins() <= KELVIN
}

/// The coldest and the warmest of an item's kegs when its gassing starts.
fn kegs_of(walk: &Walk<'_>, gas: &Gas<'_>, stock: &mut Stock<'_>) -> Result<Kegs, Error> {
    let mut there = Vec::new();
    for (origin, kegs) in &gas.from {
        match origin {
            Origin::Made(n) => {
                let fill = &walk.items.fills[*n];
                there.push(after_fill(walk, fill, gas.head.start)?);
            }
            Origin::Stock => {
                for filled in stock.take(gas, *kegs) {
                    there.push(stock.at(filled, gas)?);
                }
            }
        }
    }
    // Kegs from nowhere are another rule's matter; they are as cold as their store.
    let first = there.first().copied().unwrap_or(gas.store.air_c);
    let all = there.iter().copied();
    Ok(Kegs {
        coldest: all.clone().fold(first, |a, b| if b < a { b } else { a }),
        warmest: all.fold(first, |a, b| if b > a { b } else { a }),
    })
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

    /// Takes kegs for a gassing; the groups they are of.
    fn take(&mut self, gas: &Gas<'_>, kegs: u32) -> Vec<&'a FilledKegs> {
        let mut left = kegs;
        let mut groups = Vec::new();
        for (stock, there) in &mut self.kegs {
            if stock.keg_type == gas.keg.id && stock.store == gas.store.id && *there > 0 && left > 0
            {
                let taken = left.min(*there);
                *there -= taken;
                left -= taken;
                groups.push(*stock);
            }
        }
        groups
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
