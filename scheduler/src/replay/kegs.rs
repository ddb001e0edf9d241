//! Kegs: each is in one state at a time, and nothing is taken that is not there.
//!
//! A keg moves clean → filled → gassing → ready → on tap → dirty → in the wash → clean. Every work
//! item moves whole kegs from one state to the next, so their number stays what it was as long as
//! no state runs below zero.

use super::begun;
use super::items::{Discard, Fill, Gas, Head, Origin, Tap};
use super::level::Level;
use super::levels::Gauge;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::{KegType, Product};

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for keg in &walk.scenario.setup.keg_types {
        clean(walk, keg, found);
        dirty(walk, keg, found);
        for product in &walk.scenario.setup.products {
            ready(walk, product, keg, found);
        }
    }
    for gas in &walk.items.gassings {
        named(&gas.head, gas.kegs, &gas.from, found);
        from_fills(walk, gas, found);
    }
    for tap in &walk.items.taps {
        named(&tap.head, tap.kegs, &tap.from, found);
        from_gassings(walk, tap, found);
    }
    filled(walk, found);
    gassed(walk, found);
}

fn runs_out(level: &Level<'_>, state: &str, keg: &KegType, found: &mut Findings) {
    for low in level.below(-0.5) {
        let text = format!("{:.0} {state} {} are missing", -low.worst, keg.id);
        found.add(Rule::Kegs, low.minute, low.item, text);
    }
}

/// Clean kegs come from the wash and are filled.
fn clean(walk: &Walk<'_>, keg: &KegType, found: &mut Findings) {
    let empty = walk
        .scenario
        .stock
        .empty
        .iter()
        .filter(|e| e.keg_type == keg.id);
    let start = empty.map(|e| f64::from(e.clean)).sum();
    let mut level = Level::starting(start, walk.minutes);
    for (until, kegs) in begun::washed(walk, &keg.id) {
        level.supply(until, kegs);
    }
    for wash in walk.items.washes.iter().filter(|w| w.keg.id == keg.id) {
        level.change(wash.head.end, f64::from(wash.kegs), wash.head.id);
    }
    for fill in walk.items.fills.iter().filter(|f| f.keg.id == keg.id) {
        level.change(fill.head.start, -f64::from(fill.kegs), fill.head.id);
    }
    let gauge = Gauge::CleanKegs(keg.id.clone());
    found.saw(gauge, fleet(walk, keg), level.levels());
    runs_out(&level, "clean", keg, found);
}

/// Kegs of a type that were counted at the start, in whatever state.
fn fleet(walk: &Walk<'_>, keg: &KegType) -> f64 {
    let stock = &walk.scenario.stock;
    let empty = stock.empty.iter().filter(|e| e.keg_type == keg.id);
    let filled = stock.filled.iter().filter(|f| f.keg_type == keg.id);
    let ready = stock.ready.iter().filter(|r| r.keg_type == keg.id);
    let on_tap = stock.on_tap.iter().filter(|t| t.keg_type == keg.id).count();
    let kegs = empty.map(|e| f64::from(e.clean) + f64::from(e.dirty));
    let full = filled.map(|f| f.kegs).chain(ready.map(|r| r.kegs));
    kegs.chain(full.map(f64::from)).sum::<f64>() + on_tap as f64
}

/// Dirty kegs come back from service, or are emptied past their time, and are washed.
fn dirty(walk: &Walk<'_>, keg: &KegType, found: &mut Findings) {
    let empty = walk
        .scenario
        .stock
        .empty
        .iter()
        .filter(|e| e.keg_type == keg.id);
    let start = empty.map(|e| f64::from(e.dirty)).sum();
    let mut level = Level::starting(start, walk.minutes);
    for back in walk.items.returns.iter().filter(|r| r.keg.id == keg.id) {
        level.change(back.head.start, f64::from(back.kegs), back.head.id);
    }
    for gone in walk.items.discards.iter().filter(|d| d.keg.id == keg.id) {
        level.change(gone.head.start, f64::from(gone.kegs), gone.head.id);
    }
    for wash in walk.items.washes.iter().filter(|w| w.keg.id == keg.id) {
        level.change(wash.head.start, -f64::from(wash.kegs), wash.head.id);
    }
    runs_out(&level, "dirty", keg, found);
}

/// Ready kegs of a product are tapped or discarded.
fn ready(walk: &Walk<'_>, product: &Product, keg: &KegType, found: &mut Findings) {
    for store in &walk.scenario.setup.cold_stores {
        let standing = walk.scenario.stock.ready.iter();
        let start = standing
            .filter(|r| (&r.product, &r.keg_type, &r.store) == (&product.id, &keg.id, &store.id))
            .map(|r| f64::from(r.kegs))
            .sum();
        let mut level = Level::starting(start, walk.minutes);
        for (ready, kegs) in begun::gassed(walk, (&product.id, &keg.id, &store.id)) {
            level.supply(ready, f64::from(kegs));
        }
        let here = |p: &Product, k: &KegType, s: &crate::scenario::ColdStore| {
            (&p.id, &k.id, &s.id) == (&product.id, &keg.id, &store.id)
        };
        for Gas {
            head,
            kegs,
            ready_at,
            ..
        } in walk
            .items
            .gassings
            .iter()
            .filter(|g| here(g.product, g.keg, g.store))
        {
            level.change(*ready_at, f64::from(*kegs), head.id);
        }
        for Tap { head, kegs, .. } in walk
            .items
            .taps
            .iter()
            .filter(|t| here(t.product, t.keg, t.store))
        {
            level.change(head.start, -f64::from(*kegs), head.id);
        }
        for Discard { head, kegs, .. } in walk
            .items
            .discards
            .iter()
            .filter(|d| here(d.product, d.keg, d.store))
        {
            level.change(head.start, -f64::from(*kegs), head.id);
        }
        runs_out(
            &level,
            &format!("ready kegs of {} in", product.id),
            keg,
            found,
        );
    }
}

/// The sources of an item add up to its kegs.
fn named(head: &Head<'_>, kegs: u32, from: &[(Origin, u32)], found: &mut Findings) {
    let sum: u32 = from.iter().map(|(_, n)| n).sum();
    found.require(sum == kegs, Rule::Kegs, head.place(), || {
        format!("{kegs} kegs, but its sources add up to {sum}")
    });
}

/// Kegs are gassed where they stand, once the step in which they were filled is over.
fn from_fills(walk: &Walk<'_>, gas: &Gas<'_>, found: &mut Findings) {
    for (origin, _) in &gas.from {
        let Origin::Made(n) = origin else { continue };
        let fill: &Fill<'_> = &walk.items.fills[*n];
        let same = fill.keg.id == gas.keg.id && fill.store.id == gas.store.id;
        found.require(same, Rule::Kegs, gas.head.place(), || {
            let (keg, store) = (&fill.keg.id, &fill.store.id);
            format!("{} put {keg} into {store}", fill.head.id)
        });
        let full = fill.head.start + walk.grid;
        found.require(full <= gas.head.start, Rule::Kegs, gas.head.place(), || {
            format!("{} is done at {}", fill.head.id, walk.time(full))
        });
    }
}

/// Kegs are tapped from where they were gassed, once they are ready.
fn from_gassings(walk: &Walk<'_>, tap: &Tap<'_>, found: &mut Findings) {
    for (origin, _) in &tap.from {
        let Origin::Made(n) = origin else { continue };
        let gas: &Gas<'_> = &walk.items.gassings[*n];
        let made = (&gas.product.id, &gas.keg.id, &gas.store.id);
        let same = made == (&tap.product.id, &tap.keg.id, &tap.store.id);
        found.require(same, Rule::Kegs, tap.head.place(), || {
            format!(
                "{} made {} of {} in {}",
                gas.head.id, made.1, made.0, made.2
            )
        });
        found.require(
            gas.ready_at <= tap.head.start,
            Rule::Kegs,
            tap.head.place(),
            || format!("{} is ready at {}", gas.head.id, walk.time(gas.ready_at)),
        );
    }
}

/// No more kegs are gassed than were filled.
fn filled(walk: &Walk<'_>, found: &mut Findings) {
    let takes = |gas: &Gas<'_>, wanted: Origin| {
        let from = gas.from.iter().filter(|(origin, _)| *origin == wanted);
        from.map(|(_, n)| n).sum::<u32>()
    };
    for (n, fill) in walk.items.fills.iter().enumerate() {
        let gassed = walk
            .items
            .gassings
            .iter()
            .map(|g| takes(g, Origin::Made(n)))
            .sum::<u32>();
        found.require(gassed <= fill.kegs, Rule::Kegs, fill.head.place(), || {
            format!("{gassed} of its {} kegs are gassed", fill.kegs)
        });
    }
    for gas in &walk.items.gassings {
        let here = |g: &&Gas<'_>| g.keg.id == gas.keg.id && g.store.id == gas.store.id;
        let up_to = |g: &&Gas<'_>| (g.head.start, g.head.id) <= (gas.head.start, gas.head.id);
        let others = walk.items.gassings.iter().filter(here).filter(up_to);
        let used: u32 = others.map(|g| takes(g, Origin::Stock)).sum();
        let standing = walk.scenario.stock.filled.iter();
        let there: u32 = standing
            .filter(|f| f.keg_type == gas.keg.id && f.store == gas.store.id)
            .map(|f| u32::from(f.kegs))
            .sum();
        let enough = takes(gas, Origin::Stock) == 0 || used <= there;
        found.require(enough, Rule::Kegs, gas.head.place(), || {
            format!(
                "{used} filled {} taken from stock; it has {there}",
                gas.keg.id
            )
        });
    }
}

/// No more kegs are tapped from a gassing than it made.
fn gassed(walk: &Walk<'_>, found: &mut Findings) {
    for (n, gas) in walk.items.gassings.iter().enumerate() {
        let sources = walk.items.taps.iter().flat_map(|t| &t.from);
        let of_it = sources.filter(|(origin, _)| *origin == Origin::Made(n));
        let tapped: u32 = of_it.map(|(_, n)| n).sum();
        found.require(tapped <= gas.kegs, Rule::Kegs, gas.head.place(), || {
            format!("{tapped} of its {} kegs are tapped", gas.kegs)
        });
    }
}
