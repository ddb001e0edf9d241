//! Shelf life: no keg is tapped that was gassed too long ago, and none while an older one of its
//! kind stays in its store: first ready, first served.
//!
//! Kegs from stock are taken oldest first, and so are kegs that are discarded.

use super::begun;
use super::items::{Origin, Tap};
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::{ColdStore, KegType, Product};

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for product in &walk.scenario.setup.products {
        for keg in &walk.scenario.setup.keg_types {
            for store in &walk.scenario.setup.cold_stores {
                shelf(walk, (product, keg, store), found);
            }
        }
    }
}

type Kind<'a> = (&'a Product, &'a KegType, &'a ColdStore);

fn same(a: Kind<'_>, b: Kind<'_>) -> bool {
    (&a.0.id, &a.1.id, &a.2.id) == (&b.0.id, &b.1.id, &b.2.id)
}

/// Kegs gassed at one time.
struct Batch {
    origin: Origin,
    /// Minutes from the horizon's start; below zero before it.
    gassed: i64,
    left: u32,
}

fn shelf(walk: &Walk<'_>, kind: Kind<'_>, found: &mut Findings) {
    let mut batches = batches(walk, kind);
    let taps = walk
        .items
        .taps
        .iter()
        .filter(|t| same((t.product, t.keg, t.store), kind));
    let gone = walk
        .items
        .discards
        .iter()
        .filter(|d| same((d.product, d.keg, d.store), kind));
    let mut events: Vec<(usize, Result<&Tap<'_>, u32>)> = taps
        .map(|t| (t.head.start, Ok(t)))
        .chain(gone.map(|d| (d.head.start, Err(d.kegs))))
        .collect();
    // Within a minute what is too old is discarded before others are tapped.
    events.sort_by_key(|(minute, what)| (*minute, what.is_ok()));
    let mut rest = &events[..];
    while let Some((minute, _)) = rest.first() {
        let same_minute = rest.iter().take_while(|(at, _)| at == minute).count();
        let (now, later) = rest.split_at(same_minute);
        at_once(walk, now, &mut batches, found);
        rest = later;
    }
}

/// What is tapped and discarded in one minute: nothing too old, and nothing while older kegs stay.
fn at_once(
    walk: &Walk<'_>,
    events: &[(usize, Result<&Tap<'_>, u32>)],
    batches: &mut [Batch],
    found: &mut Findings,
) {
    let mut tapped: Vec<(&Tap<'_>, i64)> = Vec::new();
    for (minute, what) in events {
        match what {
            Ok(tap) => {
                for (origin, kegs) in &tap.from {
                    let of_it = |b: &Batch| b.origin == *origin;
                    if let Some((oldest, newest)) = take(batches, *kegs, of_it) {
                        judge(walk, tap, oldest, found);
                        tapped.push((tap, newest));
                    }
                }
            }
            Err(kegs) => {
                let there = |b: &Batch| b.gassed <= i64::try_from(*minute).unwrap_or(0);
                take(batches, *kegs, there);
            }
        }
    }
    let left = batches.iter().find(|b| b.left > 0).map(|b| b.gassed);
    for (tap, newest) in tapped {
        let in_order = left.is_none_or(|left| left >= newest);
        found.require(in_order, Rule::Freshness, tap.head.place(), || {
            format!(
                "{} {} is tapped while one that was ready earlier stays in {}",
                tap.product.id, tap.keg.id, tap.store.id
            )
        });
    }
}

fn batches(walk: &Walk<'_>, kind: Kind<'_>) -> Vec<Batch> {
    let (product, keg, store) = kind;
    let standing = walk.scenario.stock.ready.iter();
    let standing = standing
        .filter(|r| (&r.product, &r.keg_type, &r.store) == (&product.id, &keg.id, &store.id))
        .map(|r| Batch {
            origin: Origin::Stock,
            gassed: walk.minute(r.gassed_at.to_utc()),
            left: u32::from(r.kegs),
        });
    let under_way = begun::gassed(walk, (&product.id, &keg.id, &store.id));
    let under_way = under_way.into_iter().map(|(ready, kegs)| Batch {
        origin: Origin::Stock,
        gassed: i64::try_from(ready).unwrap_or(0),
        left: kegs,
    });
    let made = walk.items.gassings.iter().enumerate();
    let made = made
        .filter(|(_, g)| same((g.product, g.keg, g.store), kind))
        .map(|(n, g)| Batch {
            origin: Origin::Made(n),
            gassed: i64::try_from(g.ready_at).unwrap_or(0),
            left: g.kegs,
        });
    let mut batches: Vec<Batch> = standing.chain(under_way).chain(made).collect();
    batches.sort_by_key(|b| b.gassed);
    batches
}

/// Takes kegs, oldest first; when the oldest and the newest of them were gassed.
fn take(batches: &mut [Batch], kegs: u32, from: impl Fn(&Batch) -> bool) -> Option<(i64, i64)> {
    let mut missing = kegs;
    let mut ages = None;
    for batch in batches.iter_mut().filter(|b| from(b)) {
        let taken = missing.min(batch.left);
        batch.left -= taken;
        missing -= taken;
        if taken > 0 {
            let oldest = ages.map_or(batch.gassed, |(oldest, _)| oldest);
            ages = Some((oldest, batch.gassed));
        }
    }
    ages
}

fn judge(walk: &Walk<'_>, tap: &Tap<'_>, gassed: i64, found: &mut Findings) {
    let now = i64::try_from(tap.head.start).unwrap_or(0);
    let age = (now - gassed) as f64 / (24.0 * 60.0);
    let keeps = tap.product.shelf_days.days();
    found.require(age <= keeps, Rule::Freshness, tap.head.place(), || {
        format!(
            "tapped at {} when {age:.1} d old; {} keeps {keeps} d",
            walk.time(tap.head.start),
            tap.product.id
        )
    });
}
